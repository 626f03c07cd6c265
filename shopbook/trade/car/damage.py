"""How the steps and kinds of a damage are said on a screen, in the order in which they are offered."""

from shopbook.trade.catalogue.kinds import Access, Skill, Substrate
from shopbook.trade.planning.shapes import (
    ClearStop,
    Crossing,
    DamageKind,
    DepthStep,
    PaintChoice,
    Plastic,
    Reach,
    SizeStep,
)

KIND_WORDS: dict[str, str] = {
    DamageKind.DENT: "Dent",
    DamageKind.CREASE: "Crease",
    DamageKind.SCRATCH: "Scratch",
    DamageKind.CHIP: "Stone chips",
    DamageKind.CRACK: "Crack",
    DamageKind.SCUFF: "Scuff",
    DamageKind.RUST: "Rust",
    DamageKind.FADED_CLEAR: "Faded or peeling {clear}",
    DamageKind.BAD_REPAIR: "Earlier bad repair",
    DamageKind.DIEBACK: "Dull or sunken newer paint",
    DamageKind.SMALL_DENTS: "Many small dents",
}
SIZE_WORDS: dict[SizeStep, str] = {SizeStep.S: "S, coin-sized", SizeStep.M: "M, palm-sized", SizeStep.L: "L, larger"}
DEPTH_WORDS: dict[DepthStep, str] = {
    DepthStep.SHALLOW: "Shallow",
    DepthStep.FINGER: "Finger-deep",
    DepthStep.DEEP: "Deeper",
}
CROSSING_WORDS: dict[Crossing, str] = {
    Crossing.LINE: "a body line",
    Crossing.EDGE: "an edge",
    Crossing.LIP: "a wheel arch lip",
}
PAINT_WORDS: dict[PaintChoice, str] = {
    PaintChoice.NO_PAINT: "No paint",
    PaintChoice.PAINT: "Paint",
    PaintChoice.BLEND: "Paint and blend",
}
ACCESS_WORDS: dict[str, str] = {
    "": "Usual for the panel",
    Access.GOOD: "Good",
    Access.POOR: "Poor",
    Access.NONE: "None",
}
SUBSTRATE_WORDS: dict[str, str] = {
    Substrate.UNKNOWN: "Not known",
    Substrate.STEEL: "Steel",
    Substrate.ALUMINIUM: "{Aluminium}",
    Substrate.PLASTIC: "Plastic",
}
REACH_WORDS: dict[str, str] = {
    Reach.UNKNOWN: "Not known",
    Reach.CLEAR: "The {clear} alone",
    Reach.PRIMER: "Base or {primer}, not the metal",
    Reach.METAL: "The metal",
}
PLASTIC_WORDS: dict[str, str] = {
    Plastic.UNKNOWN: "Not known",
    Plastic.PP: "PP",
    Plastic.TPO: "TPO",
    Plastic.PP_EPDM: "PP/EPDM",
    Plastic.ABS: "ABS",
    Plastic.PC: "PC",
    Plastic.PUR: "PUR",
    Plastic.FIBREGLASS: "GRP (glass fiber)",
}
CLEAR_STOP_WORDS: dict[str, str] = {
    ClearStop.NOT_ASKED: "Not decided",
    ClearStop.JOINT: "At a joint or {moulding}",
    ClearStop.ROOF: "Over the roof",
    ClearStop.PILLAR: "Melted in on the pillar",
}
_METAL = frozenset({DamageKind.DENT, DamageKind.CREASE, DamageKind.SMALL_DENTS})
ASKED_OF: dict[str, frozenset[str]] = {
    "dent_count": frozenset({DamageKind.SMALL_DENTS}),
    "dent_class_mm": frozenset({DamageKind.SMALL_DENTS}),
    "chip_count": frozenset({DamageKind.CHIP}),
    "reach": frozenset({DamageKind.SCRATCH, DamageKind.SCUFF}),
    "was_filled": _METAL,
    "is_paint_sound": _METAL,
    "is_epoxy_first": frozenset({DamageKind.RUST}),
    "depth": frozenset(set(DamageKind) - {DamageKind.SMALL_DENTS, DamageKind.CHIP, DamageKind.FADED_CLEAR}),
    "size": frozenset(set(DamageKind) - {DamageKind.SMALL_DENTS}),
    "crosses": frozenset({*_METAL, DamageKind.CRACK, DamageKind.RUST, DamageKind.BAD_REPAIR}),
    "access": frozenset({*_METAL, DamageKind.CRACK, DamageKind.RUST, DamageKind.BAD_REPAIR}),
}
"""The kinds of damage that a field is shown for; a field that is not named here is shown for all."""

SKILL_WORDS: dict[Skill, str] = {Skill.BODY: "Body", Skill.PAINT: "Paint", Skill.DETAIL: "Detail"}
STATE_WORDS: dict[DamageKind, str] = {
    DamageKind.DENT: "dented",
    DamageKind.CREASE: "creased",
    DamageKind.SCRATCH: "scratched",
    DamageKind.CHIP: "chipped",
    DamageKind.CRACK: "cracked",
    DamageKind.SCUFF: "scuffed",
    DamageKind.RUST: "rusted",
    DamageKind.FADED_CLEAR: "{clear} failing",
    DamageKind.BAD_REPAIR: "earlier repair failing",
    DamageKind.DIEBACK: "paint sunk",
    DamageKind.SMALL_DENTS: "small dents",
}
"""The state of a panel before any work."""

COAT_WORDS: dict[str, str] = {"old": "old paint", "clear": "{clear}"}
"""What a coat is called where it is not called as in code, in the words of the country where it is said."""
WAITING_WORDS: dict[str, str] = {
    "filler": "filler hardening",
    "primer": "primer drying",
    "base": "base flashing",
    "clear": "{clear} curing",
}
LAID_WORDS: dict[str, str] = {
    "filler": "in filler",
    "primer": "in primer",
    "base": "in base",
    "clear": "{clear} is hard",
}
