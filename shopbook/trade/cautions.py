"""Cautions by stage: what can hurt, what protects, and who must be asked; never a word that something is safe."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

FIRST_SENTENCE = (
    "The product's safety data sheet, local codes and licensed practice come first; what stands here is a reminder."
)


class Caution(StrEnum):
    """One kind of danger."""

    DUST = "dust"
    VAPOUR_FIRE = "vapour_fire"
    ISOCYANATES = "isocyanates"
    NOISE = "noise"
    EYES = "eyes"
    SKIN = "skin"
    LIFTING = "lifting"
    JACKS_BATTERIES = "jacks_batteries"
    AIRBAGS = "airbags"
    HIGH_VOLTAGE = "high_voltage"
    DRIVER_AIDS = "driver_aids"
    COMPRESSED_AIR = "compressed_air"
    HEAT = "heat"


@dataclass(frozen=True, slots=True)
class CautionText:
    """A caution for a screen or a job card; `is_stop` when unqualified people must leave the work alone."""

    caution: Caution
    title: str
    text: str
    is_stop: bool = False


TEXTS: dict[Caution, CautionText] = {
    each.caution: each
    for each in (
        CautionText(
            Caution.DUST,
            "Dust",
            "Sand with extraction and wear a dust mask that fits. Filler, old paint and primers may hold lead or "
            "chromate: ask before sanding an old car dry, and never blow dust off with the air line.",
        ),
        CautionText(
            Caution.VAPOUR_FIRE,
            "Vapour and fire",
            "Solvents burn and their vapour creeps along the floor. No flame, heater, grinder or charger near; air "
            "moving out; cans and rags shut in metal; an extinguisher in reach. A mask as its sheet asks.",
        ),
        CautionText(
            Caution.ISOCYANATES,
            "Isocyanates",
            "Two-pack paint holds isocyanates: they have no warning smell, and a filter mask gives no sign when it is "
            "spent. Supplied air, gloves and covered skin; nobody else in the room while spraying or until the air "
            "has been changed as the booth and the sheet say. A cough, tight chest or hot skin afterwards: a doctor.",
        ),
        CautionText(
            Caution.NOISE,
            "Noise",
            "Grinders, air saws and hammers: wear ear protection, and so does whoever is beside you.",
        ),
        CautionText(
            Caution.EYES,
            "Eyes",
            "Wear eye protection for grinding, welding, drilling and every splash of solvent or hardener.",
        ),
        CautionText(
            Caution.SKIN,
            "Skin",
            "Wear gloves that the product's sheet names. Hands are washed with soap, never with thinner.",
        ),
        CautionText(
            Caution.LIFTING,
            "Lifting",
            "Bumpers, doors and bonnets are awkward rather than heavy: two people, or a stand.",
        ),
        CautionText(
            Caution.JACKS_BATTERIES,
            "Jacks and batteries",
            "Nobody under a car on a jack alone: stands on firm ground, wheels chocked. Take the battery off as the "
            "maker says before welding or unplugging; no spark near one that has been charging.",
        ),
        CautionText(
            Caution.AIRBAGS,
            "Airbags and belts",
            "Stop: airbags, belt tensioners and their sensors may fire. Only somebody trained on this car takes off, "
            "hammers beside or heats near them, following the maker's procedure.",
            is_stop=True,
        ),
        CautionText(
            Caution.HIGH_VOLTAGE,
            "High voltage",
            "Stop: an electric or hybrid car can kill. Only a person qualified for high voltage makes it dead and says "
            "so in writing; ask the maker's limits before heat, a bake or welding.",
            is_stop=True,
        ),
        CautionText(
            Caution.DRIVER_AIDS,
            "Driver aids",
            "Stop: cameras and radars behind glass, bumper and mirrors may want calibration by qualified people "
            "after removal, filler or paint. Paint over a radar only as the car's maker allows.",
            is_stop=True,
        ),
        CautionText(
            Caution.COMPRESSED_AIR,
            "Compressed air",
            "Never point air at a person or clean clothes with it. Look at hoses and couplings, cover your eyes, and "
            "let the pressure off before anything is unscrewed.",
        ),
        CautionText(
            Caution.HEAT,
            "Lamps and hot metal",
            "Lamps and hot metal burn and set vapour alight: let solvent leave first, keep the distance on the lamp, "
            "keep it off plastic, glass and batteries.",
        ),
    )
}


class Family(StrEnum):
    """Stages that share dangers."""

    WASH = "wash"
    DEGREASE = "degrease"
    TRIM = "trim"
    METAL = "metal"
    WELD = "weld"
    SAND = "sand"
    FILL = "fill"
    MASK = "mask"
    SPRAY_ONE_PACK = "spray_one_pack"
    SPRAY_TWO_PACK = "spray_two_pack"
    GUN_CLEAN = "gun_clean"
    WAIT = "wait"
    POLISH = "polish"
    UNDERBODY = "underbody"
    CALIBRATE = "calibrate"
    OTHER = "other"


BY_FAMILY: dict[Family, tuple[Caution, ...]] = {
    Family.WASH: (Caution.SKIN,),
    Family.DEGREASE: (Caution.VAPOUR_FIRE, Caution.EYES, Caution.SKIN),
    Family.TRIM: (Caution.LIFTING, Caution.EYES),
    Family.METAL: (Caution.EYES, Caution.NOISE, Caution.JACKS_BATTERIES),
    Family.WELD: (Caution.VAPOUR_FIRE, Caution.EYES, Caution.NOISE, Caution.JACKS_BATTERIES, Caution.HEAT),
    Family.SAND: (Caution.DUST, Caution.EYES, Caution.NOISE),
    Family.FILL: (Caution.VAPOUR_FIRE, Caution.SKIN, Caution.EYES),
    Family.MASK: (),
    Family.SPRAY_ONE_PACK: (Caution.VAPOUR_FIRE, Caution.SKIN, Caution.EYES, Caution.COMPRESSED_AIR),
    Family.SPRAY_TWO_PACK: (
        Caution.ISOCYANATES, Caution.VAPOUR_FIRE, Caution.SKIN, Caution.EYES, Caution.COMPRESSED_AIR,
    ),
    Family.GUN_CLEAN: (Caution.VAPOUR_FIRE, Caution.SKIN, Caution.EYES),
    Family.WAIT: (Caution.HEAT,),
    Family.POLISH: (Caution.EYES, Caution.DUST),
    Family.UNDERBODY: (Caution.JACKS_BATTERIES, Caution.EYES, Caution.VAPOUR_FIRE),
    Family.CALIBRATE: (Caution.DRIVER_AIDS,),
    Family.OTHER: (),
}  # fmt: skip


def list_cautions(
    family: Family,
    *,
    is_electric: bool = False,
    near_airbag: bool = False,
    near_sensor: bool = False,
    is_lifted: bool = False,
) -> tuple[CautionText, ...]:
    """The cautions for one stage, those that stop the work first; flags say what the car and the place add."""
    kinds = set(BY_FAMILY[family])
    touches = family in {Family.TRIM, Family.METAL, Family.WELD, Family.CALIBRATE}
    heats = family in {Family.WELD, Family.WAIT}
    if is_electric and (touches or heats):
        kinds.add(Caution.HIGH_VOLTAGE)
    if near_airbag and (touches or heats):
        kinds.add(Caution.AIRBAGS)
    if near_sensor and family not in {Family.WASH, Family.OTHER}:
        kinds.add(Caution.DRIVER_AIDS)
    if is_lifted:
        kinds.add(Caution.JACKS_BATTERIES)
    return in_order(kinds)


def in_order(kinds: Iterable[Caution]) -> tuple[CautionText, ...]:
    """Each kind's text once, those that stop the work first, then in the order of the list of kinds."""
    wanted = set(kinds)
    texts = [TEXTS[kind] for kind in Caution if kind in wanted]
    return tuple(sorted(texts, key=lambda each: not each.is_stop))
