"""The units a shop may type and show, what each measures, and its exact size in the unit that is stored."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from typing import NamedTuple

from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.locales import ENGLISH


class Kind(StrEnum):
    """What is measured; a shop picks one shown unit for each."""

    VOLUME = "volume"
    MASS = "mass"
    AREA = "area"
    LENGTH = "length"
    DISTANCE = "distance"
    FILM = "film"
    TEMPERATURE = "temperature"
    PRESSURE = "pressure"
    COUNT = "count"


class Unit(StrEnum):
    """Every unit that can be typed or shown; the value is what is stored and written."""

    ML = "ml"
    L = "L"
    FL_OZ = "fl oz"
    PINT = "pt"
    QUART = "qt"
    GALLON = "gal"
    G = "g"
    KG = "kg"
    OZ = "oz"
    LB = "lb"
    M2 = "m²"
    CM2 = "cm²"
    FT2 = "ft²"
    IN2 = "in²"
    MM = "mm"
    CM = "cm"
    M = "m"
    INCH = "in"
    FT = "ft"
    KM = "km"
    MILE = "mi"
    UM = "µm"
    MIL = "mil"
    C = "°C"
    F = "°F"
    BAR = "bar"
    PSI = "psi"
    PIECE = "piece"

    @property
    def kind(self) -> Kind:
        """What the unit measures."""
        return MEASURES[self].kind

    @property
    def base(self) -> "Unit":
        """The unit whose thousandths are stored for this kind: ml, g, m², mm, km, µm, °C, bar or piece."""
        return _BASE[self.kind]

    @property
    def is_whole(self) -> bool:
        """Whether it is counted whole, so that a fraction is a slip."""
        return self.kind is Kind.COUNT


class Measure(NamedTuple):
    """How a unit stands to its base: base = amount × size + zero; usual decimals; how people type it."""

    kind: Kind
    size: Fraction
    zero: Fraction
    places: int
    spellings: tuple[str, ...]


def _measure(kind: Kind, size: str, places: int, *spellings: str, zero: str = "0") -> Measure:
    return Measure(kind, Fraction(size), Fraction(zero), places, spellings)


_BASE = {
    Kind.VOLUME: Unit.ML,
    Kind.MASS: Unit.G,
    Kind.AREA: Unit.M2,
    Kind.LENGTH: Unit.MM,
    Kind.DISTANCE: Unit.KM,
    Kind.FILM: Unit.UM,
    Kind.TEMPERATURE: Unit.C,
    Kind.PRESSURE: Unit.BAR,
    Kind.COUNT: Unit.PIECE,
}

# Sizes are exact by definition: the US gallon is 231 cubic inches, the inch 25.4 mm, the pound 453.59237 g
# (NIST Handbook 44, appendix C). The fluid ounce is a 128th of the gallon and is never rounded before it is used. A
# pound on a square inch is 4.4482216152605 N on 645.16 mm².
MEASURES = {
    Unit.ML: _measure(Kind.VOLUME, "1", 1, "ml", "millilitre", "milliliter", "cc"),
    Unit.L: _measure(Kind.VOLUME, "1000", 3, "l", "lt", "litre", "liter"),
    Unit.FL_OZ: _measure(Kind.VOLUME, "29.5735295625", 2, "floz", "fluidounce"),
    Unit.PINT: _measure(Kind.VOLUME, "473.176473", 3, "pt", "pint"),
    Unit.QUART: _measure(Kind.VOLUME, "946.352946", 3, "qt", "quart"),
    Unit.GALLON: _measure(Kind.VOLUME, "3785.411784", 3, "gal", "usgal", "gallon"),
    Unit.G: _measure(Kind.MASS, "1", 1, "g", "gr", "gram", "gramme"),
    Unit.KG: _measure(Kind.MASS, "1000", 3, "kg", "kilo", "kilogram"),
    Unit.OZ: _measure(Kind.MASS, "28.349523125", 2, "oz", "ounce"),
    Unit.LB: _measure(Kind.MASS, "453.59237", 3, "lb", "pound"),
    Unit.M2: _measure(Kind.AREA, "1", 2, "m2", "sqm", "squaremetre", "squaremeter"),
    Unit.CM2: _measure(Kind.AREA, "0.0001", 0, "cm2", "sqcm"),
    Unit.FT2: _measure(Kind.AREA, "0.09290304", 2, "ft2", "sqft", "squarefoot", "squarefeet"),
    Unit.IN2: _measure(Kind.AREA, "0.00064516", 1, "in2", "sqin", "squareinch"),
    Unit.MM: _measure(Kind.LENGTH, "1", 1, "mm"),
    Unit.CM: _measure(Kind.LENGTH, "10", 0, "cm", "centimetre", "centimeter"),
    Unit.M: _measure(Kind.LENGTH, "1000", 2, "m", "metre", "meter"),
    Unit.INCH: _measure(Kind.LENGTH, "25.4", 2, "in", '"', "″", "inch", "inche"),
    Unit.FT: _measure(Kind.LENGTH, "304.8", 2, "ft", "'", "′", "foot", "feet"),
    Unit.KM: _measure(Kind.DISTANCE, "1", 0, "km", "kilometre", "kilometer"),
    Unit.MILE: _measure(Kind.DISTANCE, "1.609344", 0, "mi", "mile"),
    Unit.UM: _measure(Kind.FILM, "1", 0, "µm", "μm", "um", "micron"),
    Unit.MIL: _measure(Kind.FILM, "25.4", 1, "mil", "thou"),
    Unit.C: _measure(Kind.TEMPERATURE, "1", 1, "°c", "c", "°"),
    Unit.F: _measure(Kind.TEMPERATURE, "5/9", 1, "°f", "f", zero="-160/9"),
    Unit.BAR: _measure(Kind.PRESSURE, "1", 1, "bar"),
    Unit.PSI: _measure(Kind.PRESSURE, "44482216152605/645160000000000", 0, "psi", "lb/in2", "pound"),
    Unit.PIECE: _measure(Kind.COUNT, "1", 0, "piece", "pc", "pce", "x", "×"),
}


@dataclass(frozen=True, slots=True)
class UnitSystem:
    """The unit a shop reads for each kind, and how its numbers are written; what is stored stays in the base unit."""

    volume: Unit = Unit.ML
    mass: Unit = Unit.G
    area: Unit = Unit.M2
    length: Unit = Unit.MM
    distance: Unit = Unit.KM
    film: Unit = Unit.UM
    temperature: Unit = Unit.C
    pressure: Unit = Unit.BAR
    locale: str = ENGLISH

    def __post_init__(self) -> None:
        for kind in Kind:
            if kind is not Kind.COUNT and self.shown(kind).kind is not kind:
                raise RuleBroken(f"{self.shown(kind)} does not measure {kind}.", kind.value)

    def shown(self, what: Kind | Unit) -> Unit:
        """The unit in which a kind, or a quantity stored in a unit, is shown."""
        kind = what.kind if isinstance(what, Unit) else what
        if kind is Kind.COUNT:
            return Unit.PIECE
        chosen = getattr(self, kind.value)
        assert isinstance(chosen, Unit)
        return chosen


def say_air(*bars: float) -> str:
    """An air pressure, or a range of it, in both units, for sentences that any shop reads: "1.4 to 2.2 bar (20 to 32
    psi)"."""
    psi = [f"{_as(bar, Unit.PSI):.0f}" for bar in bars]
    return f"{_range([f'{round(bar, 2):g}' for bar in bars])} bar ({_range(psi)} psi)"


def say_distance(*centimetres: float) -> str:
    """A distance, or a range of it, in both units: "15 cm (6 in)"."""
    inches = [f"{_as(each * 10, Unit.INCH):.0f}" for each in centimetres]
    return f"{_range([f'{each:.0f}' for each in centimetres])} cm ({_range(inches)} in)"


def _as(base: float, unit: Unit) -> float:
    """An estimate in the base unit of a kind, in another of its units."""
    return (base - float(MEASURES[unit].zero)) / float(MEASURES[unit].size)


def _range(figures: Sequence[str]) -> str:
    return " to ".join(dict.fromkeys(figures))


def say_degrees(celsius: float) -> str:
    """A temperature in both scales, for sentences that any shop reads: "15 °C (59 °F)"."""
    return f"{round(celsius, 1):g} °C ({_as(celsius, Unit.F):.0f} °F)"


METRIC = UnitSystem()
US = UnitSystem(Unit.FL_OZ, Unit.OZ, Unit.FT2, Unit.INCH, Unit.MILE, Unit.MIL, Unit.F, Unit.PSI)
