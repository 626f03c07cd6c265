"""Quantities as whole thousandths of a base unit: exact conversion, what people type, and the words they read."""

import re
import unicodedata
from decimal import Decimal
from fractions import Fraction

from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.amounts import divide_half_away
from shopbook.trade.measures.locales import ENGLISH, list_readings, read_number, write_number
from shopbook.trade.measures.units import MEASURES, Kind, Unit

THOUSAND = 1000
LARGEST_THOUSANDTHS = 10**12
"""A million litres, a thousand tonnes: more is a typing mistake."""

_QUARTER_MARKS = ("", "¼", "½", "¾")


def to_thousandths(amount: Fraction | int, unit: Unit) -> int:
    """An exact amount of `unit` as thousandths of its base unit: the one place where a quantity is rounded."""
    exact = (amount * MEASURES[unit].size + MEASURES[unit].zero) * THOUSAND
    return divide_half_away(exact.numerator, exact.denominator)


def from_thousandths(thousandths: int, unit: Unit) -> Fraction:
    """Thousandths of the base unit as an exact amount of `unit`."""
    return (Fraction(thousandths, THOUSAND) - MEASURES[unit].zero) / MEASURES[unit].size


def parse_quantity(
    text: str, unit: Unit, *, locale: str = ENGLISH, field: str | None = None, is_signed: bool = False
) -> int:
    """What was typed, in `unit` unless it names another of the kind, as thousandths of the base unit.

    "12.5", "12,5", "1 1/2", "2½", "1.5 L", "3 gal" are read. A quantity may have any number of decimals, so the
    locale's own way goes first ("1.234" is a thousand in Germany, as its pages write it), and what only others would
    write is theirs where it can be one number alone. Only temperatures, or any kind when `is_signed`, may be under
    zero. Raises RuleBroken with a sentence, and with both readings for what can be read in two ways.
    """
    number, own = _split_unit(text)
    meant = _unit_named(own, unit, field)
    amount = _parse_amount(number, locale, field)
    if amount < 0 and not is_signed and unit.kind is not Kind.TEMPERATURE:
        raise RuleBroken("Enter zero or more.", field)
    if unit.is_whole and amount.denominator != 1:
        raise RuleBroken("This is counted in whole pieces: enter a whole number.", field)
    thousandths = to_thousandths(amount, meant)
    if abs(thousandths) > LARGEST_THOUSANDTHS:
        raise RuleBroken("That quantity is too large. Check the figures.", field)
    return thousandths


def _split_unit(text: str) -> tuple[str, str]:
    spelt = "".join(_spell_fraction(mark) for mark in text).replace("−", "-").strip()
    found = re.fullmatch(r"([+-]?[\d.,\s'/]*)(.*)", spelt, re.DOTALL)
    assert found is not None
    # Feet and inches use marks that also group thousands.
    number = found[1].rstrip()
    return (number[:-1], "'" + found[2]) if number.endswith("'") else (number, found[2])


def _spell_fraction(mark: str) -> str:
    if (figure := unicodedata.decimal(mark, None)) is not None:
        return str(figure)
    plain = unicodedata.normalize("NFKC", mark)
    return " " + plain.replace("⁄", "/") if len(plain) > 1 and "⁄" in plain else mark.replace("⁄", "/")


def _unit_named(own: str, unit: Unit, field: str | None) -> Unit:
    word = re.sub(r"[\s.]", "", own).lower().replace("²", "2")
    if not word:
        return unit
    for other, measure in MEASURES.items():
        if measure.kind is unit.kind and word in (*measure.spellings, *(f"{name}s" for name in measure.spellings)):
            return other
    # An ounce beside a liquid is a fluid ounce to whoever types it.
    if unit.kind is Kind.VOLUME and word in ("oz", "ounce", "ounces"):
        return Unit.FL_OZ
    raise RuleBroken(f"Enter the {unit.kind} as a number in {unit}.", field)


def _parse_amount(number: str, locale: str, field: str | None) -> Fraction:
    parts = re.fullmatch(r"([+-]?)\s*(?:([\d.,'\s]*[\d.])??)\s*(?:(\d{1,4})/(\d{1,4}))?", number.strip())
    if not parts or (parts[2] is None and parts[3] is None) or (parts[4] and int(parts[4]) == 0):
        raise _not_a_quantity(locale, field)
    amount = _parse_decimal(parts[2], locale, field) if parts[2] else Fraction(0)
    amount += Fraction(int(parts[3]), int(parts[4])) if parts[3] else 0
    return -amount if parts[1] == "-" else amount


def _parse_decimal(text: str, locale: str, field: str | None) -> Fraction:
    plain = text.strip().rstrip(".")
    plain = f"0{plain}" if plain[:1] in (".", ",") else plain
    read, own = list_readings(plain, locale), read_number(plain, locale)
    if own is None and len(read) > 1:
        either, other = (write_number(each, -int(each.as_tuple().exponent), locale) for each in read)
        raise RuleBroken(f"{plain} could be {either} or {other}. Enter the one you mean.", field)
    if not read:
        raise _not_a_quantity(locale, field)
    return Fraction(read[0])


def _not_a_quantity(locale: str, field: str | None) -> RuleBroken:
    return RuleBroken(f"Enter a quantity, for example 250 or {_written('2.5', locale, is_grouped=True)}.", field)


def format_quantity(thousandths: int, unit: Unit, *, places: int | None = None, locale: str = ENGLISH) -> str:
    """Thousandths of the base unit, shown in `unit` as the locale writes numbers: "2,480 ml", "83.86 fl oz", "12".

    Pieces carry no word.

    At most `places` decimals (each unit has its usual), no trailing zeros; what is not zero never shows as 0.
    """
    amount = from_thousandths(thousandths, unit)
    places = MEASURES[unit].places if places is None else places
    while not (shown := _digits(amount, places)).strip("0.-") and amount and places < 3:
        places += 1
    words = ("−" if shown.startswith("-") else "") + _written(shown.removeprefix("-"), locale, is_grouped=True)
    return words if unit.is_whole else f"{words}{'' if unit.value.startswith('°') else ' '}{unit}"


def _digits(amount: Fraction, places: int) -> str:
    scaled = divide_half_away(amount.numerator * 10**places, amount.denominator)
    whole, part = divmod(abs(scaled), 10**places)
    text = f"{whole}.{part:0{places}d}".rstrip("0").rstrip(".") if places else str(whole)
    return f"-{text}" if scaled < 0 else text


def _written(digits: str, locale: str, *, is_grouped: bool) -> str:
    return write_number(Decimal(digits), len(digits.partition(".")[2]), locale, is_grouped=is_grouped)


def quantity_for_field(thousandths: int, unit: Unit, locale: str = ENGLISH) -> str:
    """The figures alone, for a form: the shortest that, typed back in `unit`, give the same thousandths."""
    amount = from_thousandths(thousandths, unit)
    for places in range(12):
        shown = _digits(amount, places)
        if to_thousandths(Fraction(shown), unit) == thousandths:
            return ("-" if shown.startswith("-") else "") + _written(shown.removeprefix("-"), locale, is_grouped=False)
    raise AssertionError("twelve decimals tell any thousandth of a base unit apart")


def round_up_to_step(thousandths: int, step_thousandths: int) -> int:
    """The least multiple of a step that holds `thousandths`, up since too little is no use; zero stays zero.

    RuleBroken for a step that is not over zero.
    """
    if step_thousandths <= 0:
        raise RuleBroken("The step to round up to must be above zero.")
    return -(-thousandths // step_thousandths) * step_thousandths


def quarters(on_hand_thousandths: int, pack_thousandths: int) -> int:
    """How many quarters of a pack there are, to the nearest; under zero where the book is."""
    if pack_thousandths <= 0:
        raise RuleBroken("Enter a pack size above zero.", "pack")
    return divide_half_away(4 * on_hand_thousandths, pack_thousandths)


def quarter_words(count: int) -> str:
    """Quarters as a number: 10 is "2½", 3 is "¾", 0 is "0", -5 is "−1¼"."""
    whole, part = divmod(abs(count), 4)
    return ("−" if count < 0 else "") + (f"{whole}" if whole or not part else "") + _QUARTER_MARKS[part]


def pack_words(on_hand_thousandths: int, pack_thousandths: int, pack_name: str) -> str:
    """What is on the shelf, in packs: "2½ × 1 L", "¾ of 500 ml", "¾ of a box", "less than ¼ of a 3 L can", "none"."""
    count = quarters(on_hand_thousandths, pack_thousandths)
    if on_hand_thousandths == 0:
        return "none"
    if on_hand_thousandths < 0:
        return f"{quarter_words(min(count, -1))} × {pack_name}"
    if count < 4:
        return f"{quarter_words(count) if count else 'less than ¼'} of {_one(pack_name)}"
    return f"{quarter_words(count)} × {pack_name}"


def _one(pack_name: str) -> str:
    """A pack with its article; a bare amount ("500 ml") has none."""
    is_amount = not pack_name[:1].isalpha() and len(pack_name.split()) < 3
    return pack_name if is_amount else f"{'an' if pack_name[0].lower() in 'aeiou8' else 'a'} {pack_name}"
