"""What a painter adds to a stage for this very car: plastic, aluminium, matt, waterborne base, quarters, cavities.

All of it is common practice, from memory; the product's data sheet comes first.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from shopbook.trade.catalogue.kinds import Substrate
from shopbook.trade.catalogue.stage_codes import StageCode
from shopbook.trade.planning.building import GRINDS, make_use
from shopbook.trade.planning.methods import Method
from shopbook.trade.planning.shapes import DraftUse, Finish
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


def is_waxed(panel: PanelWork) -> bool:
    """Whether a panel is waxed behind and sealed: where rust was, and a sill that was primed."""
    is_rusty = any(work.method is Method.GRIND for work in panel.works)
    return panel.is_painted and (is_rusty or (panel.code.endswith("_sill") and bool(panel.primed)))


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
    needs = [(panel.code, setting.number("seam_sealer_ml")) for panel in panels if is_waxed(panel)]
    return [make_use(setting.catalogue, "seam_sealer", needs, setting.say("seams, before {colour}"))] if needs else []


def _is_waxed(_: DraftBasis, panels: Sequence[PanelWork]) -> bool:
    return any(is_waxed(panel) for panel in panels)


def _always(_: DraftBasis, __: Sequence[PanelWork]) -> bool:
    return True


def _only(*codes: str) -> frozenset[str]:
    return frozenset(codes)


PARTICULARS: tuple[Particular, ...] = (
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
        _only(StageCode.BLOCK), _is_waxed,
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
