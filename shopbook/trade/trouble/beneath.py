"""Trouble that comes from beneath or from the colour: what it looks like, why, what to do now and next time."""

from shopbook.trade.catalogue.stage_codes import StageCode
from shopbook.trade.measures.units import say_distance
from shopbook.trade.trouble.kinds import (
    BASE_AGAIN,
    COLOUR_AGAIN,
    FROM_METAL,
    FROM_PRIMER,
    POLISH_OUT,
    PRIME_AGAIN,
    Defect,
    FoundIn,
    TroubleKind,
)

BENEATH: tuple[TroubleKind, ...] = (
    TroubleKind(
        Defect.SCRATCH_SWELLING,
        "Sand scratch swelling",
        "Sanding scratches show through the {colour}, often days later.",
        (
            "Last grit too coarse for the coat, or a grit skipped",
            "{Primer} sanded or painted before it was dry all the way through",
            "Base sprayed wet over an old coat that softens",
            "{Primer} too thin over the feather edge",
        ),
        (
            "Let it harden all the way through, with a lamp if you have one",
            "{Flat} until the scratches are gone, prime any cut-through, then spray {colour} again",
        ),
        (
            "Step down the grits, none more than two and a half times finer",
            "Finish P400 under solid {colour}s and P500 to 600 under metallic, and give the {primer} its full time",
        ),
        {FoundIn.BASE: FROM_PRIMER, FoundIn.CLEAR: FROM_PRIMER},
    ),
    TroubleKind(
        Defect.PEELING,
        "Peeling",
        "A coat lifts from the one below, under tape, a pressure washer or a fingernail.",
        (
            "The coat below was shiny, greasy or not scuffed into the corners",
            "Bare metal without etch or epoxy, or raw plastic without promoter",
            "A recoat window had closed and nobody scuffed it",
            "Base too dry or too thick, or {clear} too late",
        ),
        (
            "Find which coat let go: tape and a cross-cut beside the spot",
            "Strip back to where it holds: {clear} over the edge will not hold",
            "Prime what is bare, and paint again",
        ),
        (
            "Scuff every corner until nothing shines",
            "Use the right first coat for the surface",
            "Recoat within the recoat window",
        ),
        {FoundIn.PRIMER: (StageCode.STRIP_OLD, StageCode.PRIME), FoundIn.BASE: FROM_METAL, FoundIn.CLEAR: FROM_METAL},
    ),
    TroubleKind(
        Defect.COLOUR_OFF,
        "{Colour} mismatch",
        "The panel does not match the one next to it, face on or from the side.",
        (
            "Another variant of the code, or a car that has faded",
            "No test panel sprayed and held to the car in daylight",
            "Paint not stirred, or weighed wrong",
            "Metallic lies differently: pressure, distance, wetness, no drop coat",
            "Ground coat or coverage not the same",
        ),
        (
            "Look in daylight from three angles, and polish the next panel before you judge",
            "If it is close, blend the {colour} into the next panels and spray {clear} over all of them",
            "If it is not, tint or remix with a test panel, and spray {colour} again",
        ),
        (
            "Hold a dry test panel with {clear} on it against the clean car",
            "Note the variant and the gun setup with the {colour} code",
        ),
        {FoundIn.BASE: (StageCode.COLOUR, *BASE_AGAIN), FoundIn.CLEAR: COLOUR_AGAIN},
    ),
    TroubleKind(
        Defect.BLEND_EDGE,
        "Blend edge shows",
        "A ring, halo or line where new {colour} or {clear} ends.",
        (
            "{Colour} stopped short instead of stepped out, coat by coat",
            "No blend base on the old {clear}, so the edge was dry",
            "Old {clear} scuffed too coarse under the blend",
            "{Clear} melted out inside a panel instead of carried to its edge",
        ),
        (
            "An edge in the {clear} only: let it cure, then polish towards the old paint with light pressure",
            "An edge in the {colour}: scuff the whole panel fine, blend farther out, {clear} over the whole panel",
        ),
        (
            "Take each coat farther out than the last, then a light one past them",
            "Take {clear} to a panel edge, never stop within the panel",
        ),
        {
            FoundIn.BASE: BASE_AGAIN,
            FoundIn.CLEAR: POLISH_OUT,
        },
    ),
    TroubleKind(
        Defect.PINHOLES,
        "Pinholes",
        "Small open holes over the filled spot.",
        (
            "Air stirred into the filler, or too much hardener",
            "Filler put on thick in one go, without a tight first skim",
            "Second skim left out after shaping",
            "Primer bridged the holes, and they opened later",
        ),
        (
            "In primer: wipe fine {stopper} into each with a blade, {flat}, prime the spot",
            "Under {colour}: sand to the filler, fill them, prime, {flat}, spray {colour} again",
        ),
        (
            "Fold the filler, do not whip it",
            "Wipe the first skim tight into the metal, then a thin second one over all",
        ),
        {
            FoundIn.PRIMER: (StageCode.FILL, StageCode.PRIME),
            FoundIn.BASE: (StageCode.FILL, *FROM_PRIMER),
            FoundIn.CLEAR: (StageCode.FILL, *FROM_PRIMER),
        },
    ),
    TroubleKind(
        Defect.EDGE_MAPPING,
        "Edge mapping",
        "The outline of the repair or its feather edge shows as a ring.",
        (
            "Feather edge too short, you can feel the steps",
            "Filler or primer ends on old paint that softens",
            "{Primer} sanded or painted before it had shrunk",
            "Too much hardener in the filler, swelling under solvent",
        ),
        (
            "Let it harden all the way through, with a lamp if you have one",
            "{Flat} it, widen the feather edge, spray {primer} past the ring, leave it overnight, spray {colour} again",
            "If the ring comes back, strip the filler to metal",
        ),
        (
            f"Feather {say_distance(5, 8)} past the filler, and take the {{primer}} past that",
            "Leave {primer} over fresh filler to stand overnight",
        ),
        {FoundIn.PRIMER: PRIME_AGAIN, FoundIn.BASE: FROM_PRIMER, FoundIn.CLEAR: FROM_PRIMER},
    ),
)
"""Common practice, from memory; causes in the order in which a painter would check them."""
