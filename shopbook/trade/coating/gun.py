"""The coats to spray, thin first coat, wet coats, drop coat, and what to say of a gun set outside the usual."""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Protocol

from shopbook.trade.coating.paints import BASES, CLEARS, Finish, Paint
from shopbook.trade.measures.units import say_air, say_distance


class CoatKind(StrEnum):
    """How a coat is laid."""

    THIN = "thin"
    MEDIUM = "medium"
    WET = "wet"
    DROP = "drop"
    BLEND_BED = "blend_bed"


class Ranges(Protocol):
    """A gun's usual set-up, each as (low, high): what the shop's catalogue holds for a mix."""

    @property
    def tip_mm(self) -> Sequence[float]: ...
    @property
    def inlet_bar(self) -> Sequence[float]: ...
    @property
    def distance_cm(self) -> Sequence[float]: ...
    @property
    def overlap_percent(self) -> Sequence[float]: ...


@dataclass(frozen=True, slots=True)
class SprayedCoat:
    """One coat: how it is laid, its share of the whole film, minutes of flash after it at 20 °C, and what for."""

    kind: CoatKind
    share: float
    flash_minutes: int
    words: str


def _say(unit: str) -> Callable[..., str]:
    return lambda *figures: " to ".join(f"{each:g}" for each in dict.fromkeys(figures)) + f" {unit}"


_SETTINGS: dict[str, tuple[str, Callable[..., str]]] = {
    "tip_mm": ("A tip", _say("mm")),
    "inlet_bar": ("A pressure", say_air),
    "distance_cm": ("A distance", say_distance),
    "overlap_percent": ("An overlap", _say("%")),
}


def say_setting(name: str, *figures: float) -> str:
    """A figure of a gun's set-up, or its range, with its unit; `name` is tip_mm, inlet_bar, distance_cm or
    overlap_percent."""
    return _SETTINGS[name][1](*figures)


def setup_warnings(usual: Ranges, used: Mapping[str, float | None], drop: Ranges | None = None) -> tuple[str, ...]:
    """Sentences about what was set outside the usual; `used` may hold tip_mm, inlet_bar, distance_cm, overlap_percent.

    `drop` is the set-up of a drop coat that belongs to the same mix: what lies in either is usual. A warning to look
    again, never a refusal: the gun's plate and the data sheet may ask for just that.
    """
    warnings = []
    for name, (words, say) in _SETTINGS.items():
        value = used.get(name)
        ranges = [tuple(getattr(each, name)) for each in (usual, drop) if each is not None]
        if value is not None and not any(low <= value <= high for low, high in ranges):
            asked = " or ".join(say(low, high) for low, high in dict.fromkeys(ranges))
            warnings.append(f"{words} of {say(value)} is outside the usual {asked}.")
    return tuple(warnings)


def coats_for(
    product: Paint,
    finish: Finish = Finish.SOLID,
    hue: str = "",
    *,
    silicone_suspected: bool = False,
    blend: bool = False,
    full_build: bool = False,
) -> tuple[SprayedCoat, ...]:
    """The coats of one product in order; their shares sum to one film. A blend's bed is another product and has none.

    `hue` is a word or two and asks for one more coat where it says "weak"; `full_build` is a third coat of primer.
    """
    if product in BASES:
        plain = _base_coats(product, finish, hue, blend)
    elif product is Paint.SURFACER:
        plain = [_coat(CoatKind.WET, 1, 8, "{primer}, leave until dull") for _ in range(3 if full_build else 2)]
    elif product in CLEARS:
        plain = [
            _coat(CoatKind.MEDIUM, 0.9, 8, "first coat, even but not flooded"),
            _coat(CoatKind.WET, 1.1, 0, "second coat, wet"),
        ]
    elif product is Paint.PROMOTER:
        plain = [_coat(CoatKind.MEDIUM, 1, 0, "one mist coat, dull and never wet")]
    else:
        plain = [_coat(CoatKind.MEDIUM, 1, 0, "one even coat")]
    if silicone_suspected:
        plain.insert(
            0,
            _coat(
                CoatKind.THIN, 0.3, 10, "dust it on nearly dry so that craters cannot form, let it flash, then go on"
            ),
        )
    whole = sum(coat.share for coat in plain)
    return tuple(SprayedCoat(coat.kind, coat.share / whole, coat.flash_minutes, coat.words) for coat in plain)


def hides_weakly(hue: str) -> bool:
    """Whether a colour's name says that it hides weakly, or somebody wrote so ("weak blue"): a ground, one coat more.

    Yellow, red, orange and lime do; "strong red" is the shop's own word that this one does not. Common practice.
    """
    words = set(re.findall(r"[^\W\d_]+", hue.casefold()))
    return bool(words & WEAK_WORDS) and "strong" not in words


WEAK_WORDS = frozenset({"weak", "yellow", "red", "orange", "lime"})


def _base_coats(product: Paint, finish: Finish, hue: str, blend: bool) -> list[SprayedCoat]:
    flash = 8
    coats = [_coat(CoatKind.MEDIUM, 1, flash, "{colour}, leave until dull") for _ in range(_hiding_coats(product, hue))]
    if blend:
        coats.insert(0, _coat(CoatKind.BLEND_BED, 0, flash, "wet bed over the blend area, to lay the edge into"))
    has_flake = finish in {Finish.METALLIC, Finish.PEARL, Finish.THREE_STAGE} and product is not Paint.GROUND
    if has_flake:
        coats.append(_coat(CoatKind.DROP, 0.5, flash, "drop coat, light and from further away, to even out the flake"))
    elif blend and product is not Paint.GROUND:
        coats.append(_coat(CoatKind.DROP, 0.4, flash, "light and out past the last edge, to lose it"))
    return coats


def _hiding_coats(product: Paint, hue: str) -> int:
    if product is Paint.GROUND:
        return 1
    return 3 if hides_weakly(hue) else 2


def _coat(kind: CoatKind, share: float, flash_minutes: int, words: str) -> SprayedCoat:
    return SprayedCoat(kind, share, flash_minutes, words)
