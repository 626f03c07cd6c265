"""The kinds of paint the engine reckons with, and what is usual for each: solids, dry film, use per square metre."""

from dataclasses import dataclass
from enum import StrEnum


class Paint(StrEnum):
    """A kind of coating by what it does on the panel, whoever makes it."""

    ETCH = "etch"
    EPOXY = "epoxy"
    PROMOTER = "promoter"
    SURFACER = "surfacer"
    SEALER = "sealer"
    GROUND = "ground"
    BASE_SOLVENT = "base_solvent"
    BASE_WATER = "base_water"
    MIDCOAT = "midcoat"
    CLEAR_MEDIUM = "clear_medium"
    CLEAR_HIGH = "clear_high"
    SINGLE_STAGE = "single_stage"


class Finish(StrEnum):
    """What the eye sees in the colour."""

    SOLID = "solid"
    METALLIC = "metallic"
    PEARL = "pearl"
    THREE_STAGE = "three_stage"
    MATT = "matt"


BASES = frozenset({Paint.BASE_SOLVENT, Paint.BASE_WATER, Paint.GROUND, Paint.MIDCOAT})
CLEARS = frozenset({Paint.CLEAR_MEDIUM, Paint.CLEAR_HIGH})
TWO_PACK = frozenset({Paint.EPOXY, Paint.SURFACER, Paint.SEALER, Paint.SINGLE_STAGE}) | CLEARS
"""Kinds that are mixed with a hardener and have a pot life of minutes."""


@dataclass(frozen=True, slots=True)
class Usual:
    """What is usual for one kind of paint: shares of volume, µm of dry film, ml for a square metre of panel."""

    volume_solids_low: float
    volume_solids_high: float
    dry_um_low: float
    dry_um_high: float
    thumb_ml_low: int | None = None
    thumb_ml_high: int | None = None
    sure_percent: int = 75

    @property
    def volume_solids(self) -> float:
        """The middle of the usual solids, for a plan without a data sheet."""
        return (self.volume_solids_low + self.volume_solids_high) / 2

    @property
    def dry_um(self) -> float:
        """The middle of the usual dry film, µm."""
        return (self.dry_um_low + self.dry_um_high) / 2


USUAL: dict[Paint, Usual] = {
    Paint.ETCH: Usual(0.08, 0.15, 8, 15, sure_percent=60),
    Paint.EPOXY: Usual(0.35, 0.45, 30, 50, sure_percent=65),
    Paint.PROMOTER: Usual(0.03, 0.08, 3, 8, sure_percent=55),
    Paint.SURFACER: Usual(0.45, 0.55, 80, 120, 120, 180),
    Paint.SEALER: Usual(0.30, 0.40, 20, 30, sure_percent=60),
    Paint.GROUND: Usual(0.10, 0.15, 12, 20, 250, 300),
    Paint.BASE_SOLVENT: Usual(0.10, 0.15, 12, 20, 250, 300),
    Paint.BASE_WATER: Usual(0.12, 0.16, 12, 20, 250, 300),
    Paint.MIDCOAT: Usual(0.10, 0.15, 10, 18, 200, 300, sure_percent=55),
    Paint.CLEAR_MEDIUM: Usual(0.35, 0.42, 45, 60, 250, 320),
    Paint.CLEAR_HIGH: Usual(0.45, 0.55, 45, 60, 250, 320),
    Paint.SINGLE_STAGE: Usual(0.35, 0.45, 45, 60, sure_percent=60),
}
"""Common practice, ready to spray; the product's data sheet comes first. The surfacer's rule of thumb is for the
repair on a door, not for a square metre of it; the others are for a panel of about one square metre.
Found in a search of 2026-11: a maker's tip on film build of clear asks 2 to 2.5 mil dry (51 to 64 µm), warning under
2 and over 3 mil; a maker's sheet of a two-pack topcoat 40 to 60 µm in coats 5 to 10 minutes apart; a how-to for
adhesion promoter 3 to 5 minutes of flash; a how-to for epoxy 30 minutes and a window of 72 hours, then scuffed."""
