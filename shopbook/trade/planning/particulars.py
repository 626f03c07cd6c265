"""What a painter adds to a stage for this very car: plastic, aluminium, matt, waterborne base, quarters, cavities.

All of it is common practice, from memory; the product's data sheet comes first.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from shopbook.trade.catalogue.kinds import Access, Substrate
from shopbook.trade.catalogue.stage_codes import StageCode
from shopbook.trade.planning.areas import access_of
from shopbook.trade.planning.asked import NEEDS_PROMOTER, Plastic
from shopbook.trade.planning.building import GRINDS, make_use
from shopbook.trade.planning.methods import Method, has_old_filler
from shopbook.trade.planning.shapes import DamageKind, DraftUse, Finish
from shopbook.trade.planning.spraying import is_water_borne
from shopbook.trade.planning.work import DraftBasis, PanelWork

Applies = Callable[[DraftBasis, Sequence[PanelWork]], bool]


@dataclass(frozen=True, slots=True)
class Particular:
    """A step (or a reason) of certain stages where something holds of the car or the panels worked on."""

    stages: frozenset[str]
    applies: Applies
    words: str
    is_reason: bool = False


def particular_steps(setting: DraftBasis, code: str, panels: Sequence[PanelWork]) -> list[str]:
    """More steps of the stage on these panels of this car."""
    return [each.words for each in _that_apply(setting, code, panels) if not each.is_reason]


def particular_reasons(setting: DraftBasis, code: str, panels: Sequence[PanelWork]) -> list[str]:
    """More reasons of the stage on these panels of this car."""
    return [each.words for each in _that_apply(setting, code, panels) if each.is_reason]


def is_sealed(panel: PanelWork) -> bool:
    """Whether seams and stone guard are renewed before colour: where rust was, and on a sill that was primed."""
    is_rusty = any(work.method is Method.GRIND for work in panel.works)
    return panel.is_painted and (is_rusty or (panel.code.endswith("_sill") and bool(panel.primed)))


def is_waxed(panel: PanelWork) -> bool:
    """Whether a panel is waxed behind: as it is sealed, and where metal was pulled from outside with studs and heat,
    since that burns off what protected its back."""
    studded = (work.is_pulled and access_of(panel.panel, work.damage) is not Access.GOOD for work in panel.works)
    return is_sealed(panel) or (panel.is_painted and any(studded))


def promoted_uses(setting: DraftBasis, panel: PanelWork, code: str) -> list[DraftUse]:
    """Repair promoter under adhesive and filler on plastics that need it, and what bonds and backs a crack."""
    if panel.substrate is not Substrate.PLASTIC or code not in {StageCode.PLASTIC_MEND, StageCode.FILL}:
        return []
    cracks = sum(work.damage.kind is DamageKind.CRACK for work in panel.works_by(Method.MEND_PLASTIC))
    is_bonded = code == StageCode.PLASTIC_MEND and cracks > 0
    needs = {
        "repair_promoter": setting.number("repair_promoter_ml")
        * ((is_bonded or code == StageCode.FILL) and panel.plastic in NEEDS_PROMOTER),
        "plastic_adhesive": setting.number("adhesive_g") * cracks * is_bonded,
        "plastic_mesh": 1.0 * cracks * is_bonded,
    }
    return [
        make_use(setting.catalogue, role, [(panel.code, amount)], setting.say(_PROMOTED[role]))
        for role, amount in needs.items()
        if amount and role in setting.catalogue.materials
    ]


_PROMOTED = {
    "repair_promoter": "under adhesive and filler on raw plastic, never under paint",
    "plastic_adhesive": "bonds the crack from behind",
    "plastic_mesh": "backs the crack",
}


def _that_apply(setting: DraftBasis, code: str, panels: Sequence[PanelWork]) -> list[Particular]:
    return [each for each in PARTICULARS if code in each.stages and each.applies(setting, panels)]


def _is_plastic(_: DraftBasis, panels: Sequence[PanelWork]) -> bool:
    return any(panel.substrate is Substrate.PLASTIC for panel in panels)


def _is_alloy(_: DraftBasis, panels: Sequence[PanelWork]) -> bool:
    return any(panel.substrate is Substrate.ALUMINIUM for panel in panels)


def _is_matt(setting: DraftBasis, _: Sequence[PanelWork]) -> bool:
    return setting.car.finish is Finish.MATT


def _is_three_stage(setting: DraftBasis, _: Sequence[PanelWork]) -> bool:
    return setting.car.finish is Finish.THREE_STAGE


def _is_water(setting: DraftBasis, _: Sequence[PanelWork]) -> bool:
    return is_water_borne(setting)


def _has_quarter(_: DraftBasis, panels: Sequence[PanelWork]) -> bool:
    return any(panel.code.endswith("_quarter") for panel in panels)


def seam_sealer(setting: DraftBasis, panels: Sequence[PanelWork]) -> list[DraftUse]:
    """What seals the seams of the panels that are waxed behind; it goes on before colour."""
    needs = [(panel.code, setting.number("seam_sealer_ml")) for panel in panels if is_sealed(panel)]
    return [make_use(setting.catalogue, "seam_sealer", needs, setting.say("seams, before {colour}"))] if needs else []


def stone_guard(setting: DraftBasis, panels: Sequence[PanelWork]) -> list[DraftUse]:
    """What renews the texture of a sill against stones; it goes on before colour."""
    needs = [(panel.code, setting.number("stone_guard_ml")) for panel in panels if panel.code.endswith("_sill")]
    is_kept = "stone_guard" in setting.catalogue.materials
    why = setting.say("against stones, before {colour}")
    return [make_use(setting.catalogue, "stone_guard", needs, why)] if needs and is_kept else []


def _is_sealed(_: DraftBasis, panels: Sequence[PanelWork]) -> bool:
    return any(is_sealed(panel) for panel in panels)


def _is_promoted(_: DraftBasis, panels: Sequence[PanelWork]) -> bool:
    return any(panel.substrate is Substrate.PLASTIC and panel.plastic in NEEDS_PROMOTER for panel in panels)


def _is_nameless(_: DraftBasis, panels: Sequence[PanelWork]) -> bool:
    return any(panel.substrate is Substrate.PLASTIC and panel.plastic is Plastic.UNKNOWN for panel in panels)


def _is_sunk(_: DraftBasis, panels: Sequence[PanelWork]) -> bool:
    return any(work.damage.kind is DamageKind.DIEBACK for panel in panels for work in panel.works)


def _is_narrow(_: DraftBasis, panels: Sequence[PanelWork]) -> bool:
    """Whether only scratches are stripped."""
    works = [work for panel in panels for work in panel.works_by(Method.PULL, Method.SAND)]
    return bool(works) and all(work.damage.kind is DamageKind.SCRATCH for work in works)


def _is_doubtful(setting: DraftBasis, _: Sequence[PanelWork]) -> bool:
    """Whether a solvent test is worth its two minutes: thick, repaired, failing or unknown paint."""
    works = [work for panel in setting.panels for work in panel.works]
    return not setting.car.is_finish_known or any(
        work.damage.kind in DOUBTFUL or has_old_filler(setting.catalogue, work.damage) for work in works
    )


DOUBTFUL = frozenset({DamageKind.BAD_REPAIR, DamageKind.FADED_CLEAR, DamageKind.DIEBACK})


def _always(_: DraftBasis, __: Sequence[PanelWork]) -> bool:
    return True


def _only(*codes: str) -> frozenset[str]:
    return frozenset(codes)


PARTICULARS: tuple[Particular, ...] = (
    Particular(
        _only(StageCode.CHECK_IN), _is_doubtful,
        "offer a solvent test: hold a cloth wet with gun wash on the paint for a minute; what softens or wrinkles is "
        "stripped, or sealed with epoxy, before it is painted over",
    ),
    Particular(
        _only(StageCode.PLASTIC_MEND), _is_plastic, "clean twice: once before sanding, once after, with a fresh cloth"
    ),
    Particular(
        _only(StageCode.PLASTIC_MEND), _is_nameless,
        "look for the stamp behind; without one a drop of water that beads, or a shaving that floats, says PP, and a "
        "small flame that smells of wax does too",
    ),
    Particular(
        _only(StageCode.PLASTIC_MEND), _is_promoted,
        "repair promoter under adhesive and filler; paint promoter under primer alone; neither over old paint",
    ),
    Particular(_only(StageCode.STRIP), _is_narrow, "strip no wider than the scratch, then feather"),
    Particular(_only(StageCode.PULL), _is_alloy, "pull slowly with heat, tapping around the pull"),
    Particular(_only(StageCode.FLAT_POLISH), _is_sunk, "sand flat with P1500, then P2000, before the pad"),
    Particular(
        _only(StageCode.PRIME, StageCode.BASE_CLEAR), _is_plastic,
        "flex additive on a part that bends, where the data sheets ask for it",
    ),
    Particular(_only(StageCode.MASK), _is_plastic, "antistatic wipe last: plastic attracts dust"),
    Particular(
        GRINDS, _is_alloy, "use discs, brushes and hammers that never touched steel, and remove steel dust first"
    ),
    Particular(
        _only(StageCode.FILL), _is_alloy,
        "use a filler whose data sheet names {aluminium}, with epoxy under it where the sheet asks for it",
    ),
    Particular(
        _only(StageCode.BLOCK), _is_sealed,
        "seal seams and spray stone chip texture now, before {colour}, where the car has them",
    ),
    Particular(
        _only(StageCode.BASE_CLEAR), _has_quarter,
        "take the {clear} to an edge or a seam; where the roof has none, do the roof too or melt it in",
    ),
    Particular(
        _only(StageCode.BASE_CLEAR), _is_matt, "stir {matt} {clear} well, since what dulls it settles, and strain it"
    ),
    Particular(
        _only(StageCode.BASE_CLEAR), _is_matt,
        "first coat of {clear} dull all over before the second; every pass the same, no stops",
    ),
    Particular(_only(StageCode.HAND_OVER), _is_matt, "tell the customer: never polish, wax or brush-wash {matt} paint"),
    Particular(_only(StageCode.MASK), _is_water, "last wipe with a waterborne degreaser: salt and sweat cause craters"),
    Particular(
        _only(StageCode.BASE_CLEAR), _is_water,
        "use cups, strainers and a gun of plastic or stainless steel: plain steel rusts",
    ),
    Particular(
        _only(StageCode.BASE_CLEAR), _is_water,
        "dry the base with moving air rather than heat, until it is dull in every corner",
    ),
    Particular(
        _only(StageCode.BASE_CLEAR), _is_water,
        "rinse the gun with waterborne gun wash, keep it apart from solvent waste, dry the gun before {clear}",
    ),
    Particular(
        _only(StageCode.BASE_CLEAR), _is_water,
        "waterborne: only its own {reducer}, solvent curdles it", is_reason=True,
    ),
    Particular(
        _only(StageCode.BASE_CLEAR), _is_three_stage,
        "three-stage: every mid coat deepens the {colour}, so spray as many as on the card you chose", is_reason=True,
    ),
    Particular(
        _only(StageCode.PAINTLESS), _always,
        "agreed beforehand: if the paint cracks under the tool, the dent is filled and painted, at the price for that",
        is_reason=True,
    ),
)  # fmt: skip
"""In the order in which they stand behind a stage's own steps."""
