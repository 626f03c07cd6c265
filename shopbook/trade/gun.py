"""The spray gun's usual set-up by product, and the coats to lay: thin first coat, wet coats, drop coat."""

from dataclasses import dataclass
from enum import StrEnum

from shopbook.trade.paints import BASES, CLEARS, Finish, Paint


class CoatKind(StrEnum):
    """How a coat is laid."""

    THIN = "thin"
    MEDIUM = "medium"
    WET = "wet"
    DROP = "drop"
    BLEND_BED = "blend_bed"


@dataclass(frozen=True, slots=True)
class Setup:
    """A gun's set-up as ranges, low and high; the gun's own plate and the product's sheet come first."""

    tip_mm: tuple[float, float]
    inlet_bar: tuple[float, float]
    distance_cm: tuple[int, int]
    overlap_percent: tuple[int, int]
    fan: str
    fluid: str
    reason: str


@dataclass(frozen=True, slots=True)
class Coat:
    """One coat: how it is laid, its share of the whole film, minutes of flash after it at 20 °C, and what for."""

    kind: CoatKind
    share: float
    flash_minutes: int
    words: str


_AS_ON_THE_GUN = "Common practice; the pressure stamped on the gun and the product's data sheet come first."
_INLET = (1.4, 2.2)
_DISTANCE = (13, 20)

SETUPS: dict[Paint, Setup] = {
    Paint.ETCH: Setup(
        (1.2, 1.4), _INLET, _DISTANCE, (50, 60), "full, or as wide as the spot", "half open", _AS_ON_THE_GUN
    ),
    Paint.EPOXY: Setup((1.4, 1.8), _INLET, _DISTANCE, (50, 60), "full", "2 to 2½ turns", _AS_ON_THE_GUN),
    Paint.PROMOTER: Setup((1.2, 1.4), _INLET, _DISTANCE, (50, 50), "full", "half open: a mist", _AS_ON_THE_GUN),
    Paint.SURFACER: Setup(
        (1.6, 1.9), _INLET, _DISTANCE, (50, 60), "full, or as wide as the spot", "open", _AS_ON_THE_GUN
    ),
    Paint.SEALER: Setup((1.3, 1.4), _INLET, _DISTANCE, (50, 60), "full", "2 turns", _AS_ON_THE_GUN),
    Paint.GROUND: Setup((1.2, 1.4), _INLET, _DISTANCE, (60, 75), "full", "2 turns", _AS_ON_THE_GUN),
    Paint.BASE_SOLVENT: Setup((1.2, 1.4), _INLET, _DISTANCE, (60, 75), "full", "2 turns", _AS_ON_THE_GUN),
    Paint.BASE_WATER: Setup((1.2, 1.3), _INLET, _DISTANCE, (60, 75), "full", "2 turns", _AS_ON_THE_GUN),
    Paint.MIDCOAT: Setup((1.2, 1.3), _INLET, _DISTANCE, (70, 80), "full", "1½ turns", _AS_ON_THE_GUN),
    Paint.CLEAR_MEDIUM: Setup((1.3, 1.4), _INLET, _DISTANCE, (50, 75), "full", "open", _AS_ON_THE_GUN),
    Paint.CLEAR_HIGH: Setup((1.2, 1.3), _INLET, _DISTANCE, (50, 75), "full", "2½ turns to open", _AS_ON_THE_GUN),
    Paint.SINGLE_STAGE: Setup((1.3, 1.4), _INLET, _DISTANCE, (50, 75), "full", "2½ turns to open", _AS_ON_THE_GUN),
}
"""Tips, inlet, distance and overlap are common practice, 75 % sure. A state air board's fact sheet for refinishers asks
for an overlap of 50 %, altered for metallics, high solids and three stages (search of 2026-11)."""

DROP_SETUP = Setup(
    (1.2, 1.4), (1.0, 1.6), (20, 30), (75, 80), "full", "1 to 1½ turns",
    "A drop coat is laid light from further off, so that flakes fall as they will. " + _AS_ON_THE_GUN,
)  # fmt: skip


_SETTINGS = {
    "tip_mm": ("A tip", "mm"),
    "inlet_bar": ("A pressure", "bar"),
    "distance_cm": ("A distance", "cm"),
    "overlap_percent": ("An overlap", "%"),
}


def setup_for(paint: Paint, kind: CoatKind = CoatKind.WET) -> Setup:
    """The usual set-up for one kind of paint; a drop coat of base has one of its own."""
    return DROP_SETUP if kind is CoatKind.DROP and paint in BASES else SETUPS[paint]


def setup_warnings(paint: Paint, kind: CoatKind = CoatKind.WET, **used: float) -> tuple[str, ...]:
    """Sentences about what was set outside the usual: `used` may hold tip_mm, inlet_bar, distance_cm, overlap_percent.

    A warning to look again, never a refusal: the gun's plate and the data sheet may ask for just that.
    """
    setup = setup_for(paint, kind)
    warnings = []
    for name, value in used.items():
        words, unit = _SETTINGS[name]
        low, high = getattr(setup, name)
        if not low <= value <= high:
            warnings.append(f"{words} of {value:g} {unit} is outside the usual {low:g} to {high:g} {unit}.")
    return tuple(warnings)


def coats_for(
    product: Paint,
    finish: Finish = Finish.SOLID,
    hue: str = "",
    *,
    silicone_suspected: bool = False,
    blend: bool = False,
    full_build: bool = False,
) -> tuple[Coat, ...]:
    """The coats of one product in order; their shares sum to one film. A blend's bed is another product and has none.

    `hue` is a word or two and asks for a coat more where it says "weak"; `full_build` is a third coat of surfacer.
    """
    if product in BASES:
        plain = _base_coats(product, finish, hue, blend)
    elif product is Paint.SURFACER:
        plain = [_coat(CoatKind.WET, 1, 8, "surfacer, left until it is matt") for _ in range(3 if full_build else 2)]
    elif product in CLEARS or product is Paint.SINGLE_STAGE:
        plain = [_coat(CoatKind.MEDIUM, 0.9, 8, "first, closed but not flooded"), _coat(CoatKind.WET, 1.1, 0, "second")]
    elif product is Paint.PROMOTER:
        plain = [_coat(CoatKind.MEDIUM, 1, 0, "one mist coat, dull and never wet")]
    else:
        plain = [_coat(CoatKind.MEDIUM, 1, 0, "one closed coat")]
    if silicone_suspected:
        plain.insert(
            0, _coat(CoatKind.THIN, 0.3, 10, "dusted on nearly dry, so that craters cannot draw; wait, then go on")
        )
    whole = sum(coat.share for coat in plain)
    return tuple(Coat(coat.kind, coat.share / whole, coat.flash_minutes, coat.words) for coat in plain)


def hides_weakly(hue: str) -> bool:
    """Whether a colour's description says that it hides weakly (weak yellow, weak red): one coat more."""
    return "weak" in hue.casefold()


def _base_coats(product: Paint, finish: Finish, hue: str, blend: bool) -> list[Coat]:
    flash = 8
    coats = [
        _coat(CoatKind.MEDIUM, 1, flash, "colour, left until it is matt") for _ in range(_hiding_coats(product, hue))
    ]
    if blend:
        coats.insert(
            0, _coat(CoatKind.BLEND_BED, 0, flash, "clear blend base wet over the blend, to lay the edge into")
        )
    has_flake = finish in {Finish.METALLIC, Finish.PEARL, Finish.THREE_STAGE} and product is not Paint.GROUND
    if has_flake:
        coats.append(_coat(CoatKind.DROP, 0.5, flash, "drop coat, light and from further off, to even the flake"))
    elif blend and product is not Paint.GROUND:
        coats.append(_coat(CoatKind.DROP, 0.4, flash, "light and out past the last edge, to lose it"))
    return coats


def _hiding_coats(product: Paint, hue: str) -> int:
    if product is Paint.GROUND:
        return 1
    return 3 if hides_weakly(hue) else 2


def _coat(kind: CoatKind, share: float, flash_minutes: int, words: str) -> Coat:
    return Coat(kind, share, flash_minutes, words)
