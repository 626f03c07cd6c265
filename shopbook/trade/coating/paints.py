"""The kinds of paint and of finish that the engine reckons with."""

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


class Finish(StrEnum):
    """What the eye sees in the colour."""

    SOLID = "solid"
    METALLIC = "metallic"
    PEARL = "pearl"
    THREE_STAGE = "three_stage"
    MATT = "matt"


BASES = frozenset({Paint.BASE_SOLVENT, Paint.BASE_WATER, Paint.GROUND, Paint.MIDCOAT})
CLEARS = frozenset({Paint.CLEAR_MEDIUM, Paint.CLEAR_HIGH})
