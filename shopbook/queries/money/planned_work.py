"""What is planned of the items that a customer approves: hours at the cost of an hour that day, materials, parts."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from shopbook.models.jobs import Job, JobPart, Stage, StageUse
from shopbook.models.money import Quote, QuoteGroup
from shopbook.queries.jobs.damage import list_damages
from shopbook.queries.jobs.parts import list_parts
from shopbook.queries.jobs.plans import list_stages
from shopbook.queries.money.costing import Costing
from shopbook.queries.money.planned import EXTRA_KEY, material_prices, stage_shares
from shopbook.queries.money.pricing import quote_rates_of
from shopbook.queries.money.quotes import is_main
from shopbook.queries.shop.people import costs_on
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.billing import LineKind
from shopbook.trade.catalogue.kinds import Skill, WayUsed
from shopbook.trade.planning.groups import WHOLE_CAR_GROUP
from shopbook.trade.pricing.keys import item_key
from shopbook.trade.purposes import StagePurpose
from shopbook.trade.results.approved_work import ApprovedPiece, WorkKind, mean_hours, planned_labour


@dataclass(frozen=True, slots=True)
class _Items:
    """The items taken of one quote, by the key of their group, and what an hour of each skill costs on that day."""

    quote: Quote
    by_key: Mapping[str, QuoteGroup]
    hours: Mapping[str, int]

    def item(self, group_key: str) -> int:
        group = self.by_key.get(group_key)
        return item_key(group.first_key) if group else 0

    def labour_key(self, group_key: str, skill: str) -> int:
        group = self.by_key.get(group_key)
        lines = group.lines if group else []
        return next((line.line_key for line in lines if line.kind == LineKind.LABOUR and line.skill == skill), 0)

    def labour(self, group_key: str, skill: str, minutes: int, stage_id: int | None = None) -> ApprovedPiece:
        return planned_labour(
            minutes,
            self.hours.get(skill, 0),
            item_key=self.item(group_key),
            line_key=self.labour_key(group_key, skill),
            stage_id=stage_id,
            skill=skill,
        )


@dataclass(frozen=True, slots=True)
class _PlanRead:
    """The stages and parts of the items taken, the minutes of each stage by group, and what its materials cost."""

    stages: Sequence[Stage]
    parts: Sequence[JobPart]
    shares: Mapping[int, Mapping[str, int]]
    priced_by: Costing

    @property
    def has_colour(self) -> bool:
        """Whether colour is written down as bought."""
        return any(part.kind == LineKind.COLOUR for part in self.parts)


def planned_work(shop: ShopOn, job: Job, quote: Quote, taken: Sequence[QuoteGroup]) -> list[ApprovedPiece]:
    """What is planned now of the items `taken` of a quote (groups and lines loaded), at the costs of the shop's day.

    An extra is its own stages, and hours that were typed without one. The quote itself is the rest of the plan but
    rework: work on the whole car is spread over the items by their hours, as it is where they are priced. An item that
    nothing is planned for stands with the hours of its lines, or with none. A fixed number of statements.
    """
    items = _Items(quote, {group.key: group for group in taken}, _hour_costs(shop))
    plan = _read_plan(shop, job, items)
    found = list(_labour(plan, items))
    found += _typed_hours(found, items)
    for stage in plan.stages:
        found += _materials(stage, plan, items)
    found += _bought(plan.parts, items)
    return found + _without_plan(found, items)


def _hour_costs(shop: ShopOn) -> dict[str, int]:
    skills = {actor.person_id: actor.skills for actor in shop.actors if actor.person_id is not None}
    return mean_hours(skills, costs_on(shop.session, shop.day), [skill.value for skill in Skill])


def _read_plan(shop: ShopOn, job: Job, items: _Items) -> _PlanRead:
    stages = [stage for stage in list_stages(shop.session, job.id) if _is_of(stage, items)]
    hurt = [damage.panel for damage in list_damages(shop.session, job.id) if damage.left_at is None]
    prices = material_prices(shop.session, stages)
    return _PlanRead(
        stages,
        [part for part in list_parts(shop.session, job.id) if _is_bought_for(part, items)],
        stage_shares(stages, list(dict.fromkeys(hurt)), shop.catalogue),
        Costing(prices, shop.catalogue, quote_rates_of(shop).door_rate_minor),
    )


def _without_plan(found: Sequence[ApprovedPiece], items: _Items) -> list[ApprovedPiece]:
    """An item that nothing is planned for: kept without hours, so that it is known to have been approved."""
    known = {piece.item_key for piece in found}
    return [items.labour(key, "", 0) for key in items.by_key if items.item(key) not in known]


def _is_of(stage: Stage, items: _Items) -> bool:
    if not is_main(items.quote):
        return stage.quote_group_key in items.by_key
    return stage.purpose not in {StagePurpose.EXTRA, StagePurpose.REWORK}


def _is_bought_for(part: JobPart, items: _Items) -> bool:
    if is_main(items.quote):
        return not part.quote_group_key.startswith(EXTRA_KEY)
    keys = {line.line_key for group in items.by_key.values() for line in group.lines}
    return part.quote_group_key in items.by_key or part.line_key in keys


def _labour(plan: _PlanRead, items: _Items) -> Iterator[ApprovedPiece]:
    """The hours of each stage by item. What strips a car to look stands in none: it is no work of the estimate."""
    for stage in plan.stages:
        for key, minutes in plan.shares[stage.id].items():
            own = "" if stage.purpose == StagePurpose.STRIP_AND_LOOK else key
            if minutes:
                yield items.labour(own, stage.skill, minutes, stage.id)


def _typed_hours(planned: Sequence[ApprovedPiece], items: _Items) -> Iterator[ApprovedPiece]:
    """Hours that stand in an item's lines and in no stage.

    Of the quote itself only those of items that no stage belongs to: where it has stages, the plan is what is planned.
    """
    for key in items.by_key:
        own = [piece for piece in planned if piece.item_key == items.item(key)]
        if not (own and is_main(items.quote)):
            yield from _beyond_stages(key, own, items)


def _beyond_stages(key: str, own: Sequence[ApprovedPiece], items: _Items) -> Iterator[ApprovedPiece]:
    """By skill, what an item's lines say beyond the stages that are its `own`."""
    typed: dict[str, int] = {}
    for line in items.by_key[key].lines:
        if line.kind == LineKind.LABOUR:
            typed[line.skill] = typed.get(line.skill, 0) + line.minutes
    for skill, minutes in typed.items():
        beyond = minutes - sum(piece.minutes for piece in own if piece.skill == skill)
        if beyond > 0:
            yield items.labour(key, skill, beyond)


def _materials(stage: Stage, plan: _PlanRead, items: _Items) -> Iterator[ApprovedPiece]:
    """What a stage would use; of shop supplies only what they come to. Colour that the shelf has no price for is
    bought: as it is written down, else by our guess."""
    own, priced_by = list(plan.shares[stage.id]), plan.priced_by
    item = items.item(own[0]) if len(own) == 1 else 0
    supplies = 0
    for use in stage.uses:
        is_colour = priced_by.is_bought(use.role) and not priced_by.is_known(use)
        if use.way == WayUsed.SHOP_SUPPLIES:
            supplies += priced_by.cost_minor(use)
        elif not (is_colour and plan.has_colour):
            yield _used(stage, use, item, priced_by.cost_minor(use), is_colour=is_colour)
    if supplies:
        yield ApprovedPiece(WorkKind.SUPPLIES, supplies, item_key=item, stage_id=stage.id)


def _used(stage: Stage, use: StageUse, item: int, cost_minor: int, *, is_colour: bool) -> ApprovedPiece:
    return ApprovedPiece(
        WorkKind.COLOUR if is_colour else WorkKind.MATERIALS,
        cost_minor,
        item_key=item,
        stage_id=stage.id,
        role=use.role,
        material_id=use.material_id,
        unit=use.unit,
        amount_thousandths=use.amount_thousandths,
    )


def _bought(parts: Sequence[JobPart], items: _Items) -> Iterator[ApprovedPiece]:
    for part in parts:
        item = items.item(part.quote_group_key or WHOLE_CAR_GROUP)
        yield ApprovedPiece(WorkKind(part.kind), part.cost_minor, item_key=item, line_key=part.line_key)
