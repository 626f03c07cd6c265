"""What is asked of a damage where its kind or its panel needs it: how deep a scratch goes, the plastic, the clear."""

from enum import StrEnum


class Reach(StrEnum):
    """The deepest coat that a scratch goes into; unknown: by its depth."""

    UNKNOWN = ""
    CLEAR = "clear"
    PRIMER = "primer"
    """To base or primer: the metal is not reached."""
    METAL = "metal"


class Plastic(StrEnum):
    """What a plastic part is moulded of, as its own stamp says."""

    UNKNOWN = ""
    PP = "pp"
    TPO = "tpo"
    PP_EPDM = "pp_epdm"
    ABS = "abs"
    PC = "pc"
    PUR = "pur"
    FIBREGLASS = "fibreglass"


class ClearStop(StrEnum):
    """Where the clear stops on a quarter or a roof, which have no gap to the next panel."""

    NOT_ASKED = ""
    JOINT = "joint"
    ROOF = "roof"
    PILLAR = "pillar"


NEEDS_PROMOTER = frozenset({Plastic.UNKNOWN, Plastic.PP, Plastic.TPO, Plastic.PP_EPDM})
"""Plastics that adhesive, filler and primer do not hold on by themselves; one that is not known is drafted as PP.

A training body's note for collision repairers (crn-292) keeps two promoters apart: one under adhesive and filler, one
under paint, each for its own step alone.
"""
