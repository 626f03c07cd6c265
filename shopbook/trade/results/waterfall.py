"""Why a job made what it made: steps from the profit of what was agreed to that of what was invoiced."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from shopbook.trade.measures.amounts import divide_half_away
from shopbook.trade.results.approved_work import BOUGHT, ApprovedPiece, WorkKind
from shopbook.trade.results.margin import Costs, Margin


class StepCode(StrEnum):
    """What one step is for, in the order in which they are shown where two are the same size."""

    HOURS = "hours"
    PRICE = "price"
    REWORK = "rework"
    WHO = "who"
    BOUGHT = "bought"
    MATERIAL_USE = "material_use"
    MATERIAL_PRICE = "material_price"
    SUPPLIES = "supplies"


@dataclass(frozen=True, slots=True)
class StageWorked:
    """Man-minutes clocked on one stage that is no rework, and what they cost."""

    stage_id: int
    skill: str
    minutes: int
    cost_minor: int


@dataclass(frozen=True, slots=True)
class MaterialDrawn:
    """What left the shelf of one material for stages that are no rework, less what came back, at issue cost."""

    key: str
    unit: str
    amount_thousandths: int
    cost_minor: int


@dataclass(frozen=True, slots=True)
class ProfitStep:
    """One step in minor units, below zero where it took profit away."""

    code: StepCode
    minor: int


@dataclass(frozen=True, slots=True)
class Waterfall:
    """The two profits and the steps between them, the worst first; they sum to the minor unit.

    `extra_minutes` is by skill, what was clocked beyond the plan (below zero: less).
    """

    planned: Margin
    made: Margin
    steps: tuple[ProfitStep, ...]
    extra_minutes: Mapping[str, int]

    @property
    def difference_minor(self) -> int:
        """By how much more was made than planned; below zero where it fell short."""
        return self.made.margin_minor - self.planned.margin_minor


@dataclass(frozen=True, slots=True)
class UnbilledItem:
    """An approved item that no invoice bills: what it was approved for without tax, and whether it is extra work."""

    title: str
    net_minor: int
    is_extra: bool


@dataclass(frozen=True, slots=True)
class JobWaterfall:
    """One job's steps, and what is said beside them: approved items not billed, work that nobody approved.

    `is_reconstructed`: an upgrade wrote what was planned, from the plan of the day of the approval.
    """

    job_id: int
    waterfall: Waterfall
    unbilled: tuple[UnbilledItem, ...] = ()
    never_approved: tuple[tuple[str, int], ...] = ()
    """(stage, man-minutes)."""
    is_reconstructed: bool = False


def waterfall(
    agreed_minor: int,
    invoiced_minor: int,
    planned: Sequence[ApprovedPiece],
    worked: Sequence[StageWorked],
    drawn: Sequence[MaterialDrawn],
    spent: Costs,
) -> Waterfall:
    """The steps from what was agreed (without tax) at its planned cost to what was invoiced at what it cost.

    Hours are those of each stage beyond its plan, at the cost that was planned for an hour of it; what the people who
    did it cost beside that, and whatever rounding leaves over, is who did it. Materials beyond the planned amount are
    use, at the planned price; the rest of their cost is price.

    Planned: body 6.0 h at 32.00, paint 7.0 h at 35.00, clear 530 ml at 0.060, other materials 36.20, colour 88.00,
    supplies 14.00, agreed 1,400.00: 793.00. Done: body 8.0 h at 32.00 and 1.5 h at 46.00, paint 7.2 h at 36.00, clear
    700 ml at 0.065, other materials 36.20, colour 104.00, a run put right by 1.4 h at 36.00 and 18.60 of material,
    supplies 16.90, invoiced 1,302.50: hours −119.00, price −97.50, rework −69.00, who −28.20, parts and colour −16.00,
    material use −10.20, material price −3.50, supplies −2.90, made 446.70.
    """
    costs = planned_costs(planned)
    hours, extra = _hours(planned, worked)
    use, price = _materials(planned, drawn)
    found = {
        StepCode.HOURS: hours,
        StepCode.PRICE: invoiced_minor - agreed_minor,
        StepCode.REWORK: costs.rework_minor - spent.rework_minor,
        StepCode.BOUGHT: costs.parts_minor + costs.sublet_minor - spent.parts_minor - spent.sublet_minor,
        StepCode.MATERIAL_USE: use,
        StepCode.MATERIAL_PRICE: price,
        StepCode.SUPPLIES: costs.supplies_minor - spent.supplies_minor,
    }
    before, after = Margin(agreed_minor, costs), Margin(invoiced_minor, spent)
    found[StepCode.WHO] = after.margin_minor - before.margin_minor - sum(found.values())
    steps = [ProfitStep(code, found[code]) for code in StepCode if found[code]]
    return Waterfall(before, after, tuple(sorted(steps, key=lambda step: step.minor)), extra)


def planned_costs(pieces: Iterable[ApprovedPiece]) -> Costs:
    """What all pieces together were planned to cost, by kind."""
    sums: dict[WorkKind, int] = defaultdict(int)
    for piece in pieces:
        sums[piece.kind] += piece.cost_minor
    return Costs(
        labour_minor=sums[WorkKind.LABOUR],
        materials_minor=sums[WorkKind.MATERIALS],
        parts_minor=sum(sums[kind] for kind in BOUGHT - {WorkKind.SUBLET}),
        sublet_minor=sums[WorkKind.SUBLET],
        supplies_minor=sums[WorkKind.SUPPLIES],
    )


def _hours(planned: Sequence[ApprovedPiece], worked: Sequence[StageWorked]) -> tuple[int, dict[str, int]]:
    """What hours beyond the plan cost at planned cost, and by skill the minutes beyond it.

    A stage that nobody planned is at the planned cost of its skill; of a skill that nobody planned, at what it cost.
    """
    labour = [piece for piece in planned if piece.kind is WorkKind.LABOUR]
    by_stage = {piece.stage_id: piece.hour_minor for piece in labour if piece.stage_id is not None}
    by_skill = {piece.skill: piece.hour_minor for piece in labour}
    due, unplanned = -sum(piece.minutes * piece.hour_minor for piece in labour), 0
    for each in worked:
        hour = by_stage.get(each.stage_id, by_skill.get(each.skill))
        due += each.minutes * (hour or 0)
        unplanned += each.cost_minor if hour is None else 0
    return -divide_half_away(due, 60) - unplanned, _extra_minutes(labour, worked)


def _extra_minutes(labour: Sequence[ApprovedPiece], worked: Sequence[StageWorked]) -> dict[str, int]:
    extra: dict[str, int] = defaultdict(int)
    for piece in labour:
        extra[piece.skill] -= piece.minutes
    for each in worked:
        extra[each.skill] += each.minutes
    return {skill: minutes for skill, minutes in extra.items() if minutes}


def _materials(planned: Sequence[ApprovedPiece], drawn: Sequence[MaterialDrawn]) -> tuple[int, int]:
    """(use, price). What was not planned, or is counted in another unit than planned, is all of it use."""
    plans: dict[tuple[str, str], tuple[int, int]] = {}
    for piece in planned:
        if piece.kind is WorkKind.MATERIALS:
            amount, cost = plans.get((piece.material_key, piece.unit), (0, 0))
            plans[piece.material_key, piece.unit] = (amount + piece.amount_thousandths, cost + piece.cost_minor)
    used: dict[tuple[str, str], tuple[int, int]] = {}
    for each in drawn:
        amount, cost = used.get((each.key, each.unit), (0, 0))
        used[each.key, each.unit] = (amount + each.amount_thousandths, cost + each.cost_minor)
    use = price = 0
    for key in {**plans, **used}:
        (planned_amount, planned_cost), (amount, cost) = plans.get(key, (0, 0)), used.get(key, (0, 0))
        as_planned = divide_half_away(planned_cost * amount, planned_amount) if planned_amount else cost
        use += planned_cost - as_planned
        price += as_planned - cost
    return use, price
