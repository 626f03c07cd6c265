"""Trouble that comes with the spraying: what it looks like, why, what to do now and next time."""

from shopbook.trade.catalogue.stage_codes import StageCode
from shopbook.trade.trouble.kinds import (
    BASE_AGAIN,
    CLEAR_AGAIN,
    POLISH_OUT,
    PRIME_AGAIN,
    Defect,
    FoundIn,
    TroubleKind,
)

SPRAYING: tuple[TroubleKind, ...] = (
    TroubleKind(
        Defect.FISH_EYE,
        "Fish eyes",
        "Round craters where the wet paint pulls back from a spot.",
        (
            "Silicone or wax from polish, dressing or an aerosol used nearby",
            "Oil or water in the air line",
            "Degreased only once, or with a dirty cloth",
            "Hands, hair or skin cream on the panel",
        ),
        (
            "Stop, do not flood it: craters only grow",
            "If it is slight, let it flash well, then dust on thin coats until it closes",
            "If it is bad, let it harden, sand it, degrease twice and spray again, the first coat nearly dry",
            "Drain the air filter before the next coat",
        ),
        (
            "Degrease before sanding and twice before paint, and wipe dry with a clean cloth",
            "Keep silicone out of the building, and drain the air line every morning",
            "Spray a thin first coat on any car that has been treated with dressing",
        ),
        {FoundIn.PRIMER: PRIME_AGAIN, FoundIn.BASE: BASE_AGAIN, FoundIn.CLEAR: CLEAR_AGAIN},
    ),
    TroubleKind(
        Defect.RUN,
        "Run or sag",
        "Paint has slid down a steep face or off an edge.",
        (
            "Sprayed too wet, too close or too slowly",
            "Second coat before the first had flashed",
            "Cold metal, or {reducer} too slow for the day",
            "Too much {reducer}, or a fluid tip too large",
        ),
        (
            "Leave it: brushing out a wet run makes it worse",
            "In the {clear}: let it cure, shave or {flat} it down, then sand and {buff}",
            "In the base: let it flash, sand the run level and spray {colour} over it",
        ),
        (
            "Keep distance and speed even, and watch the wet edge with a lamp",
            "Wait for each flash, and bring the metal to shop temperature",
        ),
        {FoundIn.PRIMER: (StageCode.BLOCK,), FoundIn.BASE: BASE_AGAIN, FoundIn.CLEAR: POLISH_OUT},
    ),
    TroubleKind(
        Defect.ORANGE_PEEL,
        "Orange peel",
        "The surface is dimpled and breaks up a reflected line.",
        (
            "Too little air, or the gun too far away",
            "Mix too thick, or {reducer} too fast for the heat",
            "Coats too thin to flow out",
            "Panel or paint too hot or too cold",
        ),
        (
            "Let it cure, measure the {clear}, sand with P1500 and finer, then {buff}",
            "If the {clear} is too thin to sand, scuff it and spray {clear} again",
        ),
        (
            "Set the gun on paper first: fan, fluid, and inlet pressure with the trigger pulled",
            "Choose the {reducer} by the temperature and the size of the panel",
        ),
        {FoundIn.PRIMER: (StageCode.BLOCK,), FoundIn.CLEAR: POLISH_OUT},
    ),
    TroubleKind(
        Defect.DIEBACK,
        "Dieback",
        "Gloss fades to a haze hours or days after it looked right.",
        (
            "Base or {primer} covered before the solvent was out",
            "{Clear} too thick, or the next coat too soon",
            "Cold, damp or still air while it dried",
            "Wrong or old hardener, or too little of it",
        ),
        (
            "Wait: it must be hard all the way through before you touch it",
            "Then sand with P1500 and finer, and {buff}",
            "If it fades again, the {clear} is soft: scuff it and spray {clear} again",
        ),
        (
            "Keep the flash times, longer in the cold",
            "Keep warm air moving until it is hard",
            "Note the batch numbers of each mix",
        ),
        {FoundIn.CLEAR: POLISH_OUT},
    ),
    TroubleKind(
        Defect.SOLVENT_POP,
        "Solvent pop",
        "Fine bubbles or open pinpricks in the last coat, mostly where it is thickest.",
        (
            "Next coat or lamp before the solvent was out",
            "{Clear} too heavy, most of all along edges and low down",
            "{Reducer} or hardener too fast for the heat",
            "Too much air across it, so it skinned over first",
        ),
        (
            "Let it cure hard first: polishing opens more of them",
            "Sand until the last one is gone, then scuff and spray {clear} again",
            "Where they go down into the {colour}, prime and spray {colour} again",
        ),
        (
            "Two even coats with the full flash time between",
            "Lamp only after the flash, from farther away, brought up slowly",
        ),
        {FoundIn.PRIMER: PRIME_AGAIN, FoundIn.CLEAR: CLEAR_AGAIN},
    ),
    TroubleKind(
        Defect.DRY_SPRAY,
        "Dry spray",
        "A rough, sandy, dull band, often at edges or where you had to reach.",
        (
            "Gun too far away, tilted or moved too fast",
            "Too much air for the fluid",
            "{Reducer} too fast, or hot moving air",
            "Overspray landed on a panel that was already setting",
        ),
        (
            "In the base: let it flash, rub lightly with a fine pad, tack, and spray the next coat closer",
            "In the {clear}: let it cure, sand and {buff}, or scuff and spray {clear} again if it stays dull",
        ),
        (
            "Keep the gun square to the panel and close",
            "Use slower {reducer} in the heat",
            "Work away from the finished end",
        ),
        {FoundIn.PRIMER: (StageCode.BLOCK,), FoundIn.BASE: BASE_AGAIN, FoundIn.CLEAR: POLISH_OUT},
    ),
    TroubleKind(
        Defect.DIRT,
        "Dirt and nibs",
        "Specks stand up in the paint.",
        (
            "Car, gaps or masking not blown out",
            "Dry floor stirred up, or doors opened",
            "Dirty clothes or sanding dust on the painter",
            "Paint not strained, or hardened bits in the cup",
            "Booth filters clogged",
        ),
        (
            "In the base: let it flash, take the nib off with fine abrasive, tack, then the next coat",
            "In the {clear}: let it cure, take the nib down with P2000 on a hard block, then {buff}",
        ),
        (
            "Blow out the gaps before masking, and tack last",
            "Wet the floor, wear clean clothes, strain every cup",
            "Change filters by date",
        ),
        {FoundIn.PRIMER: (StageCode.BLOCK,), FoundIn.BASE: BASE_AGAIN, FoundIn.CLEAR: POLISH_OUT},
    ),
)
"""Common practice, from memory; causes in the order in which a painter would check them."""
