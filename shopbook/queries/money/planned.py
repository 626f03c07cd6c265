"""What a job's plan comes to at the shop's rates: priced lines by the group of a quote that carries them."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from sqlalchemy.orm import Session

from shopbook.models.jobs import Damage, Job, JobPart, Stage
from shopbook.models.shelf import Material
from shopbook.queries.jobs.damage import list_damages
from shopbook.queries.jobs.parts import list_parts
from shopbook.queries.jobs.plans import list_stages
from shopbook.queries.money.costing import Costing
from shopbook.queries.money.pricing import quote_rates_of, quote_rates_on
from shopbook.queries.shelf.materials import best_by_role, materials_for_roles
from shopbook.queries.shop.rates import catalogue_on
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.billing import BillLine, LineKind
from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.catalogue.kinds import Skill
from shopbook.trade.measures.amounts import share_out
from shopbook.trade.planning.groups import WHOLE_CAR_GROUP, group_key
from shopbook.trade.planning.shapes import DraftPlan, DraftStage
from shopbook.trade.pricing import (
    MaterialsRule,
    PaintWork,
    QuoteRates,
    price_fee,
    price_labour,
    price_materials,
    price_part,
    price_sublet,
)
from shopbook.trade.pricing.materials import REFINISH_STAGES
from shopbook.trade.purposes import StagePurpose
from shopbook.trade.stock.movements import Ratio

EXTRA_KEY = "extra-"
"""What the key of an extra's group begins with; its version follows."""

SKILL_WORDS = {"body": "Body work", "paint": "Paint work", "detail": "Preparation and finish"}


@dataclass(slots=True)
class PlannedGroup:
    """What falls on one hurt panel (or the whole car): man-minutes by skill, materials by role, what is bought.

    `colour` is what is bought for the car and not on the shelf; `guessed` is what of `costs` is our guess because
    nobody has a price for that material yet.
    """

    key: str
    minutes: dict[str, int] = field(default_factory=dict)
    refinish_minutes: int = 0
    costs: dict[str, int] = field(default_factory=dict)
    colour: dict[str, int] = field(default_factory=dict)
    guessed: dict[str, int] = field(default_factory=dict)
    parts: list[JobPart] = field(default_factory=list)
    stages: list[Stage] = field(default_factory=list)
    damages: list[Damage] = field(default_factory=list)
    lines: list[BillLine] = field(default_factory=list)

    @property
    def all_minutes(self) -> int:
        return sum(self.minutes.values())

    def is_wanted(self, only_keys: Collection[str]) -> bool:
        """Whether it is one of these; of none, whether it is the job's own and no extra's."""
        return self.key in only_keys if only_keys else not self.key.startswith(EXTRA_KEY)

    @property
    def paint_work(self) -> PaintWork:
        """What the group's paint and materials are priced by."""
        shelf, guessed = sum(self.costs.values()), sum(self.guessed.values())
        return PaintWork(self.minutes.get(Skill.PAINT, 0), self.refinish_minutes, shelf, guessed)


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
    rates, catalogue = quote_rates_on(session, day), catalogue_on(session, day)
    stages = [stage for stage in list_stages(session, job.id) if stage.purpose == only_purpose]
    parts = list_parts(session, job.id)
    priced_by = Costing(material_prices(session, stages), catalogue, rates.door_rate_minor)
    groups = _grouped(list_damages(session, job.id), stages, parts, priced_by)
    found = [group for group in groups.values() if group.is_wanted(only_keys)]
    has_colour = any(part.kind == LineKind.COLOUR for part in parts)
    for group in found:
        group.lines = _priced(group, job.payer_kind, rates, priced_by, has_colour=has_colour)
    return [group for group in found if group.lines]


def _grouped(
    damages: Iterable[Damage], stages: Iterable[Stage], parts: Iterable[JobPart], priced_by: Costing
) -> dict[str, PlannedGroup]:
    """All that falls on each group, by its key: the hurt panels first, in the order of their damages."""
    groups: dict[str, PlannedGroup] = {}
    for damage in damages:
        if damage.left_at is None:
            groups.setdefault(damage.panel, PlannedGroup(damage.panel)).damages.append(damage)
    hurt = list(groups)
    for stage in stages:
        shares = shares_of(stage, hurt, priced_by.catalogue)
        _add_work(groups, stage, shares, priced_by)
        for key in shares:
            groups[key].stages.append(stage)
    for part in parts:
        key = part.quote_group_key or WHOLE_CAR_GROUP
        groups.setdefault(key, PlannedGroup(key)).parts.append(part)
    _spread_whole_car(groups, hurt)
    return groups


def drafted_lines(
    shop: ShopOn, draft: DraftPlan, hurt: Sequence[str], materials: Iterable[Material]
) -> dict[str, list[BillLine]]:
    """What a draft that nobody has kept yet comes to for a private payer, by hurt panel, by the rules of a kept plan.

    RuleBroken when the shop has not set a rate that is needed.
    """
    rates, catalogue = quote_rates_of(shop), shop.catalogue
    groups = {panel: PlannedGroup(panel) for panel in hurt}
    prices = prices_among(best_by_role(one for one in materials if one.role and one.is_active))
    priced_by = Costing(prices, catalogue, rates.door_rate_minor)
    for stage in draft.stages:
        shares = _by_group(stage.minutes, stage.minutes_by_panel, WHOLE_CAR_GROUP, hurt, catalogue)
        _add_work(groups, stage, shares, priced_by)
    _spread_whole_car(groups, hurt)
    return {panel: _priced(groups[panel], "private", rates, priced_by, has_colour=False) for panel in hurt}


def shares_of(stage: Stage, hurt: Sequence[str], catalogue: Catalogue) -> dict[str, int]:
    """The stage's minutes by group: each panel's own, a panel that is only blended into with its hurt neighbour."""
    if stage.quote_group_key not in {"", WHOLE_CAR_GROUP, *hurt}:
        return {stage.quote_group_key: stage.planned_minutes}
    named = [(each.panel, each.minutes) for each in stage.panels]
    return _by_group(stage.planned_minutes, named, stage.quote_group_key or WHOLE_CAR_GROUP, hurt, catalogue)


def stage_shares(stages: Sequence[Stage], hurt: Sequence[str], catalogue: Catalogue) -> dict[int, dict[str, int]]:
    """The minutes of each stage by group, by its id: those on the whole car spread over the hurt panels by their hours.

    Two panels of 180 and 120 min and a wash of 50 min: 30 and 20 of the wash.
    """
    found = {stage.id: shares_of(stage, hurt, catalogue) for stage in stages}
    weights = {panel: sum(shares.get(panel, 0) for shares in found.values()) for panel in hurt}
    if not any(weights.values()):
        return found
    for shares in found.values():
        whole = shares.pop(WHOLE_CAR_GROUP, 0)
        for panel, part in zip(weights, share_out(whole, list(weights.values())), strict=True):
            if part:
                shares[panel] = shares.get(panel, 0) + part
    return found


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
    roles = {use.role for stage in stages for use in stage.uses}
    return prices_among(materials_for_roles(session, roles))


def prices_among(by_role: Mapping[str, Material]) -> Mapping[str, tuple[str, Ratio]]:
    """The same of the materials that stand for their roles, read already."""
    return {role: (one.unit, _price_of(one)) for role, one in by_role.items()}


def _price_of(material: Material) -> Ratio:
    average = Ratio(material.value_minor, material.on_hand_thousandths)
    basis = Ratio(material.basis_value_minor, material.basis_quantity_thousandths)
    pack = Ratio(material.pack_price_minor or 0, material.pack_thousandths)
    return next((price for price in (average, basis, pack) if price.is_known), Ratio())


def _add_work(
    groups: dict[str, PlannedGroup], stage: Stage | DraftStage, shares: Mapping[str, int], priced_by: Costing
) -> None:
    for key, minutes in shares.items():
        group = groups.setdefault(key, PlannedGroup(key))
        group.minutes[stage.skill] = group.minutes.get(stage.skill, 0) + minutes
        group.refinish_minutes += minutes if stage.code in REFINISH_STAGES else 0
    for use in stage.uses:
        is_known = priced_by.is_known(use)
        is_colour = priced_by.is_bought(use.role) and not is_known
        costs = share_out(priced_by.cost_minor(use), list(shares.values()))
        for key, cost in zip(shares, costs, strict=True):
            _add_cost(groups[key].colour if is_colour else groups[key].costs, use.role, cost)
            if not (is_known or is_colour):
                _add_cost(groups[key].guessed, use.role, cost)


def _add_cost(costs: dict[str, int], role: str, cost: int) -> None:
    costs[role] = costs.get(role, 0) + cost


def _spread_whole_car(groups: dict[str, PlannedGroup], hurt: Sequence[str]) -> None:
    whole = groups.get(WHOLE_CAR_GROUP)
    panels = [groups[panel] for panel in hurt]
    if whole is None or not panels:
        return
    weights = [group.all_minutes for group in panels]
    for skill, minutes in whole.minutes.items():
        for group, share in zip(panels, share_out(minutes, weights), strict=True):
            group.minutes[skill] = group.minutes.get(skill, 0) + share
    _spread_refinish(whole, panels, weights)
    for name in ("costs", "colour", "guessed"):
        for role, cost in getattr(whole, name).items():
            for group, part in zip(panels, share_out(cost, weights), strict=True):
                _add_cost(getattr(group, name), role, part)
    whole.minutes, whole.costs, whole.colour, whole.guessed, whole.stages = {}, {}, {}, {}, []


def _spread_refinish(whole: PlannedGroup, panels: Sequence[PlannedGroup], weights: Sequence[int]) -> None:
    for group, share in zip(panels, share_out(whole.refinish_minutes, list(weights)), strict=True):
        group.refinish_minutes += share
    whole.refinish_minutes = 0


def _priced(
    group: PlannedGroup, payer_kind: str, rates: QuoteRates, priced_by: Costing, *, has_colour: bool
) -> list[BillLine]:
    """Hours, materials and what is bought; colour only where the payer's rule does not hold it in the materials."""
    lines = [
        price_labour(SKILL_WORDS.get(skill, skill), skill, minutes, payer_kind, rates)
        for skill, minutes in group.minutes.items()
        if minutes
    ]
    materials = price_materials("Materials", group.paint_work, payer_kind, rates)
    lines += [] if materials is None else [materials]
    rule = rates.materials.rule(payer_kind)
    if rule is MaterialsRule.SHELF and not has_colour:
        lines += _colour_to_buy(group, rates, priced_by)
    bought = [part for part in group.parts if not (rule.holds_colour and is_colour_inside(part))]
    return lines + [replace(_priced_part(part, rates), key=part.line_key, job_part_id=part.id) for part in bought]


def is_colour_inside(part: JobPart) -> bool:
    """Whether a part is colour that nobody typed a price for: a rule that holds colour takes it into the materials."""
    return part.kind == LineKind.COLOUR and not part.is_touched


def _colour_to_buy(group: PlannedGroup, rates: QuoteRates, priced_by: Costing) -> list[BillLine]:
    """Colour that the plan needs and nobody has written down as bought yet, each at our guess, under its own name."""
    return [
        price_part(priced_by.catalogue.materials[role].name, cost, rates, kind=LineKind.COLOUR)
        for role, cost in group.colour.items()
        if cost
    ]


def _priced_part(part: JobPart, rates: QuoteRates) -> BillLine:
    typed = part.price_minor if part.is_touched or part.price_minor else None
    if part.kind == LineKind.SUBLET:
        return price_sublet(part.name, part.cost_minor, rates, typed)
    if part.kind == LineKind.FEE:
        return price_fee(part.name, part.price_minor or part.cost_minor, rates)
    return price_part(part.name, part.cost_minor, rates, price_minor=typed, kind=LineKind(part.kind))
