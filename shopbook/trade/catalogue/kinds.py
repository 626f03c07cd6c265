"""The words that the catalogue and the plans share: skills, substrates, and how a material is counted."""

from enum import StrEnum

from shopbook.trade.measures.units import Unit as Unit


class Skill(StrEnum):
    """Whose hands a stage wants; rates, clocks and the diary go by it."""

    BODY = "body"
    PAINT = "paint"
    DETAIL = "detail"


class Substrate(StrEnum):
    """What a panel is made of."""

    STEEL = "steel"
    ALUMINIUM = "aluminium"
    PLASTIC = "plastic"
    UNKNOWN = "unknown"


class Access(StrEnum):
    """Whether a tool reaches the back of the damage."""

    GOOD = "good"
    POOR = "poor"
    NONE = "none"


class Fixing(StrEnum):
    """Whether a panel comes off with spanners or is part of the shell."""

    BOLT_ON = "bolt_on"
    WELDED = "welded"


class MeasuredBy(StrEnum):
    """Which area a stage's minutes for each square metre go by."""

    NONE = "none"
    DAMAGE = "damage"
    FEATHER = "feather"
    PRIMER = "primer"
    PANEL = "panel"


class WayUsed(StrEnum):
    """How a material is counted: asked from a mix, counted by the piece, or shop supplies (never asked)."""

    MEASURED = "measured"
    PIECE = "piece"
    SHOP_SUPPLIES = "shop_supplies"
