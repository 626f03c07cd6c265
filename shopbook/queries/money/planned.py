"""What a job's plan comes to at the shop's rates: priced lines by the group of a quote that carries them."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from sqlalchemy.orm import Session

from shopbook.models.jobs import Damage, Job, JobPart, Stage, StageUse
from shopbook.models.shelf import Material
from shopbook.queries.jobs.catalogue import catalogue_on
from shopbook.queries.jobs.damage import list_damages
from shopbook.queries.jobs.parts import list_parts
from shopbook.queries.jobs.plans import list_stages
from shopbook.queries.money.pricing import quote_rates_on
from shopbook.queries.shelf.materials import materials_for_roles
from shopbook.trade.amounts import share_out
from shopbook.trade.billing import BillLine, LineKind
from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.movements import Ratio
from shopbook.trade.planning.groups import WHOLE_CAR_GROUP, group_key
from shopbook.trade.planning.shapes import Draft, DraftUse
from shopbook.trade.pricing import (
    QuoteRates,
    price_fee,
    price_labour,
    price_materials,
    price_part,
    price_sublet,
)
from shopbook.trade.purposes import StagePurpose

PAINT = "paint"
EXTRA_KEY = "extra-"
"""What the key of an extra's group begins with; its version follows."""

SKILL_WORDS = {"body": "Body work", "paint": "Paint work", "detail": "Preparation and finish"}
_NO_MATERIALS: dict[str, int | None] = {}


@dataclass(slots=True)
class PlannedGroup:
    """What falls on one hurt panel (or the whole car): man-minutes by skill, materials by role, what is bought."""

    key: str
    minutes: dict[str, int] = field(default_factory=dict)
    costs: dict[str, int | None] = field(default_factory=dict)
    parts: list[JobPart] = field(default_factory=list)
    stages: list[Stage] = field(default_factory=list)
    damages: list[Damage] = field(default_factory=list)
    lines: list[BillLine] = field(default_factory=list)

    @property
    def all_minutes(self) -> int:
        return sum(self.minutes.values())


def planned_groups(
    session: Session,
    job: Job,
    day: date,
    *,
    only_purpose: str = StagePurpose.PLAN,
    only_keys: Collection[str] = (),
) -> list[PlannedGroup]:
    """The plan by groups in the order of the damages, priced at the rates of a day; with `only_keys` those alone.

    Work on the whole car is spread over the panels by their hours, so that each group is a price of its own; what was
    bought for the whole car stands in a group of its own. RuleBroken when the shop has not set a rate that is needed.
    """
    rates = quote_rates_on(session, day)
    damages = [damage for damage in list_damages(session, job.id) if damage.left_at is None]
    catalogue = catalogue_on(session, day)
    groups = {panel: PlannedGroup(panel) for panel in dict.fromkeys(damage.panel for damage in damages)}
    for damage in damages:
        groups[damage.panel].damages.append(damage)
    stages = [stage for stage in list_stages(session, job.id) if stage.purpose == only_purpose]
    prices = material_prices(session, stages)
    hurt = list(groups)
    for stage in stages:
        shares = _shares(stage, hurt, catalogue)
        _add_work(groups, stage.skill, shares, stage.uses, prices)
        for key in shares:
            groups[key].stages.append(stage)
    for part in list_parts(session, job.id):
        key = part.quote_group_key or WHOLE_CAR_GROUP
        groups.setdefault(key, PlannedGroup(key)).parts.append(part)
    _spread_whole_car(groups, hurt)
    found = [
        group
        for group in groups.values()
        if (group.key in only_keys if only_keys else not group.key.startswith(EXTRA_KEY))
    ]
    for group in found:
        group.lines = _priced(group, job.payer_kind, rates)
    return [group for group in found if group.lines]


def drafted_lines(session: Session, draft: Draft, hurt: Sequence[str], day: date) -> dict[str, list[BillLine]]:
    """What a draft that nobody has kept yet comes to for a private payer, by hurt panel, by the rules of a kept plan.

    RuleBroken when the shop has not set a rate that is needed.
    """
    rates, catalogue = quote_rates_on(session, day), catalogue_on(session, day)
    groups = {panel: PlannedGroup(panel) for panel in hurt}
    prices = _prices_of_roles(session, {use.role for stage in draft.stages for use in stage.uses})
    for stage in draft.stages:
        shares = _by_group(stage.minutes, stage.minutes_by_panel, WHOLE_CAR_GROUP, hurt, catalogue)
        _add_work(groups, stage.skill, shares, stage.uses, prices)
    _spread_whole_car(groups, hurt)
    return {panel: _priced(groups[panel], "private", rates) for panel in hurt}


def _shares(stage: Stage, hurt: Sequence[str], catalogue: Catalogue) -> dict[str, int]:
    """The stage's minutes by group: each panel's own, a panel that is only blended into with its hurt neighbour."""
    if stage.quote_group_key not in {"", WHOLE_CAR_GROUP, *hurt}:
        return {stage.quote_group_key: stage.planned_minutes}
    named = [(each.panel, each.minutes) for each in stage.panels]
    return _by_group(stage.planned_minutes, named, stage.quote_group_key or WHOLE_CAR_GROUP, hurt, catalogue)


def _by_group(
    minutes: int, panels: Iterable[tuple[str, int]], otherwise: str, hurt: Sequence[str], catalogue: Catalogue
) -> dict[str, int]:
    named = [each for each in panels if each[0] not in {"", WHOLE_CAR_GROUP}]
    if not named:
        return {otherwise: minutes}
    found: dict[str, int] = {}
    for (panel, _), share in zip(named, share_out(minutes, [weight for _, weight in named]), strict=True):
        key = panel if panel in hurt else group_key([panel], hurt, catalogue)
        found[key] = found.get(key, 0) + share
    return found


def material_prices(session: Session, stages: Iterable[Stage]) -> Mapping[str, tuple[str, Ratio]]:
    """Unit and price of the material that stands for each role these stages use: average, last price, or a pack's."""
    return _prices_of_roles(session, {use.role for stage in stages for use in stage.uses})


def _prices_of_roles(session: Session, roles: Collection[str]) -> Mapping[str, tuple[str, Ratio]]:
    return {role: (one.unit, _price_of(one)) for role, one in materials_for_roles(session, roles).items()}


def _price_of(material: Material) -> Ratio:
    average = Ratio(material.value_minor, material.on_hand_thousandths)
    basis = Ratio(material.basis_value_minor, material.basis_quantity_thousandths)
    pack = Ratio(material.pack_price_minor or 0, material.pack_thousandths)
    return next((price for price in (average, basis, pack) if price.is_known), Ratio())


def _add_work(
    groups: dict[str, PlannedGroup],
    skill: str,
    shares: Mapping[str, int],
    uses: Iterable[StageUse | DraftUse],
    prices: Mapping[str, tuple[str, Ratio]],
) -> None:
    for key, minutes in shares.items():
        group = groups.setdefault(key, PlannedGroup(key))
        group.minutes[skill] = group.minutes.get(skill, 0) + minutes
    for use in uses:
        unit, price = prices.get(use.role, ("", Ratio()))
        is_known = price.is_known and unit == use.unit
        costs = share_out(price.of(use.amount_thousandths), list(shares.values())) if is_known else [None] * len(shares)
        for key, cost in zip(shares, costs, strict=True):
            _add_cost(groups[key], use.role, cost)


def _add_cost(group: PlannedGroup, role: str, cost: int | None) -> None:
    """One use without a price leaves the whole role without one."""
    before = group.costs.get(role, 0)
    group.costs[role] = None if cost is None or before is None else before + cost


def _spread_whole_car(groups: dict[str, PlannedGroup], hurt: Sequence[str]) -> None:
    whole = groups.get(WHOLE_CAR_GROUP)
    panels = [groups[panel] for panel in hurt]
    if whole is None or not panels:
        return
    weights = [group.all_minutes for group in panels]
    for skill, minutes in whole.minutes.items():
        for group, share in zip(panels, share_out(minutes, weights), strict=True):
            group.minutes[skill] = group.minutes.get(skill, 0) + share
    for role, cost in whole.costs.items():
        shares = [None] * len(panels) if cost is None else share_out(cost, weights)
        for group, part in zip(panels, shares, strict=True):
            _add_cost(group, role, part)
    whole.minutes, whole.costs, whole.stages = {}, {}, []


def _priced(group: PlannedGroup, payer_kind: str, rates: QuoteRates) -> list[BillLine]:
    lines = [
        price_labour(SKILL_WORDS.get(skill, skill), skill, minutes, payer_kind, rates)
        for skill, minutes in group.minutes.items()
        if minutes
    ]
    materials = price_materials("Materials", group.minutes.get(PAINT, 0), _wanted(group), rates)
    if materials is not None:
        lines.append(materials)
    parts = [replace(_priced_part(part, rates), key=part.line_key, job_part_id=part.id) for part in group.parts]
    return lines + parts


def _wanted(group: PlannedGroup) -> Mapping[str, int | None]:
    """Without paint work there is no hour to go by: what has a price counts, wipes and tape without one do not."""
    if group.minutes.get(PAINT, 0):
        return group.costs
    return {role: cost for role, cost in group.costs.items() if cost} or _NO_MATERIALS


def _priced_part(part: JobPart, rates: QuoteRates) -> BillLine:
    typed = part.price_minor if part.is_touched or part.price_minor else None
    if part.kind == LineKind.SUBLET:
        return price_sublet(part.name, part.cost_minor, rates, typed)
    if part.kind == LineKind.FEE:
        return price_fee(part.name, part.price_minor or part.cost_minor, rates)
    return price_part(part.name, part.cost_minor, rates, price_minor=typed, kind=LineKind(part.kind))
