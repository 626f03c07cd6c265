"""Trouble that comes with the spraying: what it looks like, why, what now and what next time."""

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
        "Fish-eyes",
        "Round craters down to what is underneath, wet paint drawn back from a spot.",
        (
            "silicone or wax from polish, dressing or a spray can used near by",
            "oil or water in the air line",
            "degreased once only, or with a dirty cloth",
            "hands, hair or skin cream on the panel",
        ),
        (
            "stop; do not flood it, craters only grow",
            "if it is slight, let it flash well and dust thin coats over until it closes",
            "if it is not, let it harden, flat it, degrease twice and lay it again, the first coat nearly dry",
            "drain the air filter before the next pass",
        ),
        (
            "degrease before the first abrasive and twice before paint, wiping dry with a clean cloth",
            "no silicone in the building; drain the line every morning",
            "thin first coat on any car that has been dressed",
        ),
        {FoundIn.PRIMER: PRIME_AGAIN, FoundIn.BASE: BASE_AGAIN, FoundIn.CLEAR: CLEAR_AGAIN},
    ),
    TroubleKind(
        Defect.RUN,
        "Run or sag",
        "Paint has slid down a steep face or off an edge.",
        (
            "laid too wet, too close, or too slowly",
            "second coat before the first had flashed",
            "cold metal, or reducer too slow for the day",
            "too much reducer, or a fluid tip too large",
        ),
        (
            "leave it: brushing a wet run spoils more than it saves",
            "in clear: let it cure, shave or block it down, flat and polish",
            "in base: let it flash, sand the run flat and lay colour over it",
        ),
        (
            "even distance and pace; look along the wet edge with a lamp",
            "wait for each flash; bring the metal to the warmth of the shop",
        ),
        {FoundIn.PRIMER: (StageCode.BLOCK,), FoundIn.BASE: BASE_AGAIN, FoundIn.CLEAR: POLISH_OUT},
    ),
    TroubleKind(
        Defect.ORANGE_PEEL,
        "Orange peel",
        "The surface is dimpled and breaks up a reflected line.",
        (
            "too little air, or the gun too far away",
            "mix too thick, or reducer too fast for the heat",
            "coats too thin to flow together",
            "panel or paint too hot or too cold",
        ),
        (
            "let it cure, measure the clear, flat with P1500 and finer, and polish",
            "if the clear is too thin to flat, scuff it and clear again",
        ),
        (
            "set the gun on paper first: fan, fluid, pressure at the inlet with the trigger drawn",
            "choose the reducer by the day's temperature and the size of the panel",
        ),
        {FoundIn.PRIMER: (StageCode.BLOCK,), FoundIn.CLEAR: POLISH_OUT},
    ),
    TroubleKind(
        Defect.DIEBACK,
        "Dieback",
        "Gloss sinks to a haze hours or days after it looked right.",
        (
            "base or surfacer covered before its solvent had left",
            "clear too thick, or coats on top of each other too soon",
            "cold, damp or still air while it dried",
            "wrong or old hardener, or too little of it",
        ),
        (
            "wait: it must be hard right through before it is touched",
            "then flat with P1500 and finer, and polish",
            "if it sinks again, the clear is soft: scuff and clear again",
        ),
        ("keep the flashes, longer in the cold", "warm moving air until it is hard", "note the lots of each mix"),
        {FoundIn.CLEAR: POLISH_OUT},
    ),
    TroubleKind(
        Defect.SOLVENT_POP,
        "Solvent pop",
        "Fine bubbles or open pinpricks in the last coat, mostly where it is thickest.",
        (
            "the next coat or the lamp came before solvent had left",
            "clear too heavy, most of all along edges and low down",
            "reducer or hardener too fast for the heat",
            "air blown on so hard that the skin closed first",
        ),
        (
            "polishing opens more of them: let it cure hard",
            "flat until the last one is gone, then scuff and clear again",
            "where they reach the colour, prime and colour again",
        ),
        ("two even coats with the whole flash", "lamp only after the flash, from further off, brought up slowly"),
        {FoundIn.PRIMER: PRIME_AGAIN, FoundIn.CLEAR: CLEAR_AGAIN},
    ),
    TroubleKind(
        Defect.DRY_SPRAY,
        "Dry spray",
        "A rough, sandy, dull band, often at edges or where the gun reached over.",
        (
            "gun too far off or tilted, or moved too fast",
            "too much air for the fluid",
            "reducer too fast, or hot moving air",
            "overspray fell on a panel that was already setting",
        ),
        (
            "in base: let it flash, rub lightly with a fine pad and tack, then lay the next coat closer",
            "in clear: let it cure, flat and polish; scuff and clear again if it stays dull",
        ),
        ("gun square to the panel and close", "a slower reducer in the heat", "paint away from the finished end"),
        {FoundIn.PRIMER: (StageCode.BLOCK,), FoundIn.BASE: BASE_AGAIN, FoundIn.CLEAR: POLISH_OUT},
    ),
    TroubleKind(
        Defect.DIRT,
        "Dirt and nibs",
        "Specks stand up in the film.",
        (
            "car, gaps or masking not blown out",
            "floor dry and stirred up, doors opened",
            "clothes or sanding dust on the painter",
            "paint not strained, or hardened bits in the cup",
            "booth filters full",
        ),
        (
            "in base: let it flash, lift the nib with a fine abrasive, tack, next coat",
            "in clear: let it cure, take the nib down with P2000 on a hard block, polish",
        ),
        (
            "blow out gaps before masking, tack last",
            "wet the floor, clean clothes, strain every cup",
            "filters by date",
        ),
        {FoundIn.PRIMER: (StageCode.BLOCK,), FoundIn.BASE: BASE_AGAIN, FoundIn.CLEAR: POLISH_OUT},
    ),
)
"""Common practice, from memory; causes in the order in which a painter would look."""
