"""Money as integer minor units, and the one way it is rounded and shared out."""

import re
from collections.abc import Sequence
from decimal import ROUND_HALF_UP, Decimal

from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.locales import ENGLISH, does_sign_follow, list_readings, read_number, write_number

LARGEST_MINOR = 10**13
"""Larger amounts are typing mistakes; the columns would hold a million times more."""

_TYPED = re.compile(r"([+\-\u2212]?)\s*([0-9](?:[0-9.,'\u2019\s]*[0-9])?)")


def divide_half_away(numerator: int, denominator: int) -> int:
    """The quotient as a whole number, halves going away from zero.

    So that a credit takes back to the unit what its invoice asked for: −x rounds as x does. Source: the rule of the
    published invoice examples (EN 16931: 365.125 becomes 365.13).
    Raises ZeroDivisionError for a denominator of zero.
    """
    sign = -1 if (numerator < 0) != (denominator < 0) else 1
    top, bottom = abs(numerator), abs(denominator)
    return sign * ((2 * top + bottom) // (2 * bottom))


def share_out(total: int, weights: Sequence[int]) -> list[int]:
    """`total` split over `weights` (none negative) so that the parts sum to it exactly.

    What rounding leaves over goes to the largest weight, the first of equals. All weights zero: all to the first.
    """
    if not weights:
        return []
    whole = sum(weights)
    if whole == 0:
        return [total, *([0] * (len(weights) - 1))]
    parts = [divide_half_away(total * weight, whole) for weight in weights]
    parts[max(range(len(weights)), key=lambda place: (weights[place], -place))] += total - sum(parts)
    return parts


def parse_minor(text: str, places: int = 2, *, locale: str = ENGLISH, field: str | None = None) -> int:
    """What was typed ("1,250.50", "1250.5", "12") as minor units of a currency with `places` decimals.

    It is read as the locale writes numbers, else with point and comma the other way about, never leniently: groups
    are whole, decimals at most `places`. In a book of the United States "1,234" is 1,234.00 and "85,50" is 85.50; in a
    German one "1.234" is 1.234,00 and "85.50" is 85,50. Raises RuleBroken for what can be read in two ways, with both
    ("1.234" in the United States: 1.23 or 1,234.00), and with a sentence for anything else.
    """
    found = _TYPED.fullmatch(text.strip())
    if not found:
        raise RuleBroken(f"Enter an amount, {_such_as(places, locale)}.", field)
    minor = int(_meant(found[2], places, locale, field).scaleb(places)) * (1 if found[1] in ("", "+") else -1)
    if abs(minor) > LARGEST_MINOR:
        raise RuleBroken("That amount is too large. Check the figures.", field)
    return minor


def _meant(figures: str, places: int, locale: str, field: str | None) -> Decimal:
    """The one amount that the figures can be, in the locale's own way or the other."""
    own, read = read_number(figures, locale), list_readings(figures, locale)
    fits = [each for each in read if _places_of(each) <= places]
    # Whole with all its decimals is as the book prints it: no doubt, though the other way would be an amount too.
    if own is not None and own in fits and (len(fits) == 1 or _places_of(own) == places):
        return own
    if fits == read and len(read) == 1:
        return read[0]
    raise RuleBroken(_why_not(figures, read, places, locale, is_doubtful=bool(fits)), field)


def _why_not(figures: str, read: Sequence[Decimal], places: int, locale: str, *, is_doubtful: bool) -> str:
    most = f"at most {places} decimals" if places else "no decimals"
    if is_doubtful:
        either, other = (_written(each, places, locale) for each in read)
        return f"{figures} could be {either} or {other}. Enter the one you mean, with {most}."
    if read:
        return f"Enter an amount with {most}, {_such_as(places, locale)}."
    return f"Enter an amount, {_such_as(places, locale)}."


def _places_of(read: Decimal) -> int:
    """Figures behind the decimal mark as they were typed, zeros too."""
    return max(0, -int(read.as_tuple().exponent))


def _written(amount: Decimal, places: int, locale: str) -> str:
    return write_number(amount.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP), places, locale)


def _such_as(places: int, locale: str) -> str:
    part = f" or {_written(Decimal('120.5'), places, locale)}" if places else ""
    return f"for example 120{part}"


def format_minor(minor: int, places: int = 2, symbol: str = "", locale: str = ENGLISH) -> str:
    """Minor units as the locale writes them: 123456 is "1,234.56"; the minus stands before the symbol.

    The symbol stands where the locale has it: "$12.50", "12,50 €".
    """
    figures = write_number(Decimal(abs(minor)).scaleb(-places), places, locale)
    sign = "\u2212" if minor < 0 else ""
    if symbol and does_sign_follow(locale):
        return f"{sign}{figures}\u00a0{symbol.strip()}"
    return f"{sign}{symbol}{figures}"


def minor_for_field(minor: int, places: int = 2, locale: str = ENGLISH) -> str:
    """Minor units as they would be typed in that locale, without groups: "1234.56", "-1234,56"."""
    figures = write_number(Decimal(abs(minor)).scaleb(-places), places, locale, is_grouped=False)
    return f"-{figures}" if minor < 0 else figures
