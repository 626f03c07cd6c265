"""Figures inside sentences: written in the units that are stored, said in those that a shop reads."""

import re
from decimal import Decimal
from fractions import Fraction

from shopbook.trade.measures.quantities import format_quantity, to_thousandths
from shopbook.trade.measures.units import Unit, UnitSystem

_FIGURE = re.compile(
    r"(?<![\w.,/])(?P<kept>(?:grain|tip) )?(?P<first>\d[\d,]*(?:\.\d+)?)"
    r"(?: to (?P<last>\d[\d,]*(?:\.\d+)?))? (?P<unit>mm|µm|m²|cm²|ml|g)(?![\w/²])"
)
"""One figure or a range of them before a unit. The grain of an abrasive and a gun's tip are named by their size in µm
and mm everywhere, and "g/ml" is no amount."""


def in_units(sentence: str, units: UnitSystem) -> str:
    """The sentence with every length, film, area, volume and mass in the shop's own unit.

    "762 µm, filler underneath." is "30 mil, filler underneath." where the film is read in mil; "1.3 to 2.6 mm" is
    "0.05 to 0.1 in". What the shop reads as it is written stays letter for letter.
    """
    return _FIGURE.sub(lambda found: _said(found, units), sentence)


def _said(found: re.Match[str], units: UnitSystem) -> str:
    written = Unit(found["unit"])
    shown = _shown(written, units)
    if found["kept"] or shown is written:
        return found[0]
    figures = [_figure(each, written, shown, units.locale) for each in (found["first"], found["last"]) if each]
    return " to ".join([*(each.removesuffix(f" {shown}") for each in figures[:-1]), figures[-1]])


def _shown(written: Unit, units: UnitSystem) -> Unit:
    """A spot of some square centimetres is said in square inches, never in hundredths of a square foot."""
    shown = units.shown(written)
    if written is Unit.CM2:
        return Unit.IN2 if shown in {Unit.FT2, Unit.IN2} else Unit.CM2
    return shown


def _figure(text: str, written: Unit, shown: Unit, locale: str) -> str:
    exact = Fraction(Decimal(text.replace(",", "")))
    return format_quantity(to_thousandths(exact, written), shown, locale=locale)
