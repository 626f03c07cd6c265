"""Trouble that comes from beneath or from the colour: what it looks like, why, what now and what next time."""

from shopbook.trade.catalogue.stage_codes import StageCode
from shopbook.trade.trouble.kinds import (
    BASE_AGAIN,
    COLOUR_AGAIN,
    FROM_METAL,
    FROM_PRIMER,
    PRIME_AGAIN,
    Defect,
    FoundIn,
    TroubleKind,
)

BENEATH: tuple[TroubleKind, ...] = (
    TroubleKind(
        Defect.SCRATCH_SWELLING,
        "Sanding scratches swelling",
        "Lines of an earlier abrasive show through colour, often days later.",
        (
            "last abrasive too coarse for the coat, or a step left out",
            "surfacer sanded or painted before it was dry through",
            "base laid wet over an old coat that softens",
            "surfacer too thin over the feather",
        ),
        (
            "let it harden right through, by lamp if there is one",
            "block until the lines are gone, prime where it is cut through, then colour again",
        ),
        (
            "step down the grits, none longer than two and a half times",
            "finish P400 under solid colours and P500 to 600 under metallic; wait the surfacer's whole time",
        ),
        {FoundIn.BASE: FROM_PRIMER, FoundIn.CLEAR: FROM_PRIMER},
    ),
    TroubleKind(
        Defect.PEELING,
        "Peeling",
        "A coat lifts from the one below, under tape, a jet or a fingernail.",
        (
            "the coat below was shiny, greasy or not keyed into corners",
            "bare metal without etch or epoxy, raw plastic without promoter",
            "a recoat window had closed and nobody scuffed",
            "base laid too dry or too thick, cleared too late",
        ),
        (
            "find which coat let go: tape and a cross-cut beside the place",
            "take everything off to where it holds; clearing over the edge will not hold",
            "prime for what is then bare, and paint again",
        ),
        (
            "pad every corner until nothing shines",
            "the right first coat for the ground",
            "paint inside the windows",
        ),
        {FoundIn.PRIMER: (StageCode.STRIP_OLD, StageCode.PRIME), FoundIn.BASE: FROM_METAL, FoundIn.CLEAR: FROM_METAL},
    ),
    TroubleKind(
        Defect.COLOUR_OFF,
        "Colour off",
        "The panel differs from its neighbour, straight on or from the side.",
        (
            "another variant of the code, or a car that has faded",
            "no check panel sprayed and held to the car in daylight",
            "tins not stirred, or weighed wrongly",
            "flake lies otherwise: pressure, distance, wetness, no drop coat",
            "ground coat or hiding not the same",
        ),
        (
            "look in daylight from three angles; polish the neighbour before judging",
            "if it is near, blend the colour into the neighbours and clear them whole",
            "if it is not, tint or mix anew with a check panel, and colour again",
        ),
        ("check panel with clear, dry, against the clean car", "note variant and gun set-up with the colour code"),
        {FoundIn.BASE: (StageCode.COLOUR, StageCode.SCUFF_BASE), FoundIn.CLEAR: COLOUR_AGAIN},
    ),
    TroubleKind(
        Defect.BLEND_EDGE,
        "Blend edge shows",
        "A ring, halo or line where new colour or clear ends.",
        (
            "colour stopped short instead of stepped out, coat by coat",
            "no blend base on the old clear, so the edge was dry",
            "old clear keyed too coarsely under the blend",
            "clear melted out within a panel instead of carried to its edge",
        ),
        (
            "an edge in clear alone: let it cure, polish towards the old paint with little pressure",
            "an edge in colour: key the whole panel fine, blend further out, clear the whole panel",
        ),
        (
            "each coat further out than the last, then a light one past them",
            "clear to a panel's edge, never within",
        ),
        {
            FoundIn.BASE: BASE_AGAIN,
            FoundIn.CLEAR: (
                StageCode.CLEAR_PREP,
                StageCode.COLOUR,
                StageCode.MASK,
                StageCode.BASE_CLEAR,
                StageCode.UNMASK,
                StageCode.POLISH,
            ),
        },
    ),
    TroubleKind(
        Defect.PINHOLES,
        "Pinholes",
        "Small open holes over the filled place.",
        (
            "air stirred into the filler, or too much hardener",
            "filler laid thick in one go, not wiped tight first",
            "second skin left out after shaping",
            "primer bridged the holes and opened later",
        ),
        (
            "in primer: wipe fine stopper into each with a blade, block, prime the place",
            "under colour: sand to the filler, stop them, prime, block, colour again",
        ),
        ("fold the filler, do not whip it", "first skin wiped tight into the metal, a thin second skin over all"),
        {
            FoundIn.PRIMER: (StageCode.FILL, StageCode.PRIME),
            FoundIn.BASE: (StageCode.FILL, *FROM_PRIMER),
            FoundIn.CLEAR: (StageCode.FILL, *FROM_PRIMER),
        },
    ),
    TroubleKind(
        Defect.EDGE_MAPPING,
        "Edge mapping",
        "The outline of the repair or feather shows as a ring.",
        (
            "feather too short, its steps can be felt",
            "filler or primer ends on old paint that softens",
            "surfacer sanded or painted before it had sunk",
            "too much hardener in the filler, swelling under solvent",
        ),
        (
            "let it harden through, by lamp if there is one",
            "block it flat, widen the feather, surfacer past the ring, let it stand overnight, colour again",
            "if the ring returns, take the filler off to metal",
        ),
        ("feather 5 to 8 cm past the filler, surfacer past that", "stand overnight over fresh filler"),
        {FoundIn.PRIMER: PRIME_AGAIN, FoundIn.BASE: FROM_PRIMER, FoundIn.CLEAR: FROM_PRIMER},
    ),
)
"""Common practice, from memory; causes in the order in which a painter would look."""
