"""Money as integer minor units, and the one way it is rounded and shared out."""

import re
from collections.abc import Sequence

from shopbook.trade.errors import RuleBroken

LARGEST_MINOR = 10**13
"""Larger amounts are a slip of the keys; the columns would hold a million times more."""

_TYPED = re.compile(r"[+-]?\d{1,20}(?:\.\d{1,20})?", re.ASCII)


def divide_half_away(numerator: int, denominator: int) -> int:
    """The quotient as a whole number, halves going away from zero.

    So that a credit takes back to the unit what its invoice asked for: −x rounds as x does. Source: the rule of the
    published invoice examples (EN 16931: 365.125 becomes 365.13).
    Raises ZeroDivisionError for a denominator of nought.
    """
    sign = -1 if (numerator < 0) != (denominator < 0) else 1
    top, bottom = abs(numerator), abs(denominator)
    return sign * ((2 * top + bottom) // (2 * bottom))


def share_out(total: int, weights: Sequence[int]) -> list[int]:
    """`total` split over `weights` (none negative) so that the parts sum to it exactly.

    What rounding leaves over goes to the largest weight, the first of equals. All weights nought: all to the first.
    """
    if not weights:
        return []
    whole = sum(weights)
    if whole == 0:
        return [total, *([0] * (len(weights) - 1))]
    parts = [divide_half_away(total * weight, whole) for weight in weights]
    parts[max(range(len(weights)), key=lambda place: (weights[place], -place))] += total - sum(parts)
    return parts


def parse_minor(text: str, places: int = 2, *, field: str | None = None) -> int:
    """What was typed ("1,250.50", "1250.5", "12") as minor units of a currency with `places` decimals.

    A comma or space that groups thousands is passed over; a decimal comma is read where it cannot be a group
    ("12,50"). Raises RuleBroken with a sentence for anything else.
    """
    plain = re.sub(r"[\s\u00a0\u202f']", "", text)
    if re.fullmatch(r"[+-]?\d+,\d{1,2}", plain) and places:
        plain = plain.replace(",", ".")
    elif re.fullmatch(r"[+-]?\d{1,3}(,\d{3})+(\.\d+)?", plain):
        plain = plain.replace(",", "")
    if not _TYPED.fullmatch(plain):
        raise RuleBroken("Type an amount in figures, such as 120 or 120.50.", field)
    whole, _, part = plain.partition(".")
    if len(part.rstrip("0")) > places:
        raise RuleBroken(f"An amount here has at most {places} figures after the point.", field)
    sign = -1 if whole.startswith("-") else 1
    minor: int = sign * (int(whole.lstrip("+-")) * 10**places + int((part + "0" * places)[:places] or "0"))
    if abs(minor) > LARGEST_MINOR:
        raise RuleBroken("That amount is too large to be meant.", field)
    return minor


def format_minor(minor: int, places: int = 2, symbol: str = "") -> str:
    """Minor units as text with grouped thousands: 123456 is "1,234.56"; the sign stands before the symbol."""
    whole, part = divmod(abs(minor), 10**places)
    sign = "\u2212" if minor < 0 else ""
    return f"{sign}{symbol}{whole:,}" + (f".{part:0{places}d}" if places else "")
