"""Jobs from what was agreed to what was invoiced: the work kept with their approvals held against what came of it."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, fields
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Stage
from shopbook.models.money import ApprovalWork
from shopbook.queries.jobs.whole import Clocked, WholeJob
from shopbook.queries.money.accounts import Accounts
from shopbook.queries.money.approvals import AgreedQuote, sum_agreed
from shopbook.queries.money.costs import materials_drawn
from shopbook.queries.money.quotes import is_main
from shopbook.trade.floor.readiness import NEEDS_APPROVAL
from shopbook.trade.pricing.keys import item_key
from shopbook.trade.purposes import StagePurpose
from shopbook.trade.results.approved_work import ApprovedPiece, WorkKind
from shopbook.trade.results.margin import Costs
from shopbook.trade.results.papers import BilledPaper, billed_by_item
from shopbook.trade.results.waterfall import JobWaterfall, MaterialDrawn, StageWorked, UnbilledItem, waterfall

_KEPT = tuple(column.name for column in fields(ApprovedPiece))


@dataclass(frozen=True, slots=True)
class JobsCame:
    """What came of some jobs, by job id, as it is read already: `clocked` and `spent` up to the day that is asked for,
    `agreed` of every job that is asked for."""

    stages: Mapping[int, Sequence[Stage]]
    clocked: Sequence[Clocked]
    spent: Mapping[int, Costs]
    agreed: Mapping[int, Sequence[AgreedQuote]]
    papers: Mapping[int, Sequence[BilledPaper]]


@dataclass(frozen=True, slots=True)
class _Read:
    """What came of one job: its stages by id, what was clocked, what it cost, and what is agreed of it."""

    stages: Mapping[int, Stage]
    clocked: Sequence[Clocked]
    spent: Costs
    agreed: Sequence[AgreedQuote]


def waterfalls(session: Session, came: JobsCame, last: date) -> dict[int, JobWaterfall]:
    """The steps of the jobs agreed with what was invoiced and spent up to a day, by job id; two statements.

    Left out is a job of whose approval no planned work is known, or of which nothing is invoiced.
    """
    clocked: dict[int, list[Clocked]] = defaultdict(list)
    for row in came.clocked:
        clocked[row.job_id].append(row)
    read = {
        job_id: _Read(
            {stage.id: stage for stage in came.stages.get(job_id, ())},
            clocked[job_id],
            came.spent.get(job_id, Costs()),
            [row for row in rows if is_main(row.quote) or row.approval.on <= last],
        )
        for job_id, rows in came.agreed.items()
    }
    billed = {job_id: billed_by_item(came.papers.get(job_id, ()), last) for job_id in read}
    return _waterfalls(session, read, billed, last)


def waterfall_of(whole: WholeJob, accounts: Accounts, spent: Costs) -> JobWaterfall | None:
    """The same of one job that is read already, as it stands now; `spent` is what it cost so far. Two statements."""
    job_id, issued = whole.job.id, accounts.issued[whole.job.id]
    if not issued.papers:
        return None
    stages = {stage.id: stage for stage in whole.stages}
    read = _Read(stages, whole.clocked, spent, accounts.approvals.agreed[job_id])
    items = {item: net for item, net in issued.net_by_item.items() if item and net}
    billed = {job_id: (sum(issued.net_by_item.values()), items)}
    return _waterfalls(accounts.shop.session, {job_id: read}, billed, date.max).get(job_id)


_Billed = tuple[int, Mapping[int, int]]
"""What was invoiced of one job without tax, and by item of which something is billed."""


def _waterfalls(
    session: Session, read: Mapping[int, _Read], billed: Mapping[int, _Billed], last: date
) -> dict[int, JobWaterfall]:
    pieces = _pieces(session, [row.approval.id for each in read.values() for row in each.agreed])
    drawn = materials_drawn(session, read, last)
    found = {}
    for job_id, each in read.items():
        own = [piece for row in each.agreed for piece in pieces.get(row.approval.id, ())]
        net_minor, items = billed[job_id]
        if own and items:
            found[job_id] = _waterfall(job_id, each, own, drawn[job_id], net_minor, items)
    return found


def _waterfall(
    job_id: int,
    read: _Read,
    kept: Sequence[ApprovalWork],
    drawn: Sequence[MaterialDrawn],
    net_minor: int,
    items: Mapping[int, int],
) -> JobWaterfall:
    made = waterfall(
        sum_agreed(read.agreed).net_minor,
        net_minor,
        [_piece(row) for row in kept],
        _worked(read),
        drawn,
        read.spent,
    )
    return JobWaterfall(
        job_id,
        made,
        tuple(_unbilled(read.agreed, items)),
        tuple(_never_approved(read)),
        any(row.is_reconstructed for row in kept),
    )


def _piece(row: ApprovalWork) -> ApprovedPiece:
    return ApprovedPiece(**{name: getattr(row, name) for name in _KEPT} | {"kind": WorkKind(row.kind)})


def _worked(read: _Read) -> list[StageWorked]:
    """By stage, what was clocked on the work itself; rework stands apart."""
    found: dict[int, StageWorked] = {}
    for row in read.clocked:
        stage = read.stages[row.stage_id]
        before = found.get(stage.id, StageWorked(stage.id, stage.skill, 0, 0))
        if stage.purpose != StagePurpose.REWORK:
            minutes, cost = before.minutes + row.minutes, before.cost_minor + row.cost_minor
            found[stage.id] = StageWorked(stage.id, stage.skill, minutes, cost)
    return list(found.values())


def _never_approved(read: _Read) -> Iterable[tuple[str, int]]:
    minutes: dict[int, int] = defaultdict(int)
    for row in read.clocked:
        minutes[row.stage_id] += row.minutes
    for stage_id, each in minutes.items():
        stage = read.stages[stage_id]
        if each > 0 and stage.agreed_at is None and stage.purpose in NEEDS_APPROVAL:
            yield stage.name, each


def _unbilled(agreed: Sequence[AgreedQuote], billed: Mapping[int, int]) -> Iterable[UnbilledItem]:
    for row in agreed:
        nets: dict[int, int] = defaultdict(int)
        for line in row.sum.taken.lines:
            nets[line.item] += line.net_minor
        for group in row.taken:
            item = item_key(group.first_key)
            if nets[item] and not billed.get(item):
                yield UnbilledItem(group.title, nets[item], not is_main(row.quote))


def _pieces(session: Session, approvals: Sequence[int]) -> dict[int, list[ApprovalWork]]:
    found: dict[int, list[ApprovalWork]] = defaultdict(list)
    asked = select(ApprovalWork).where(ApprovalWork.approval_id.in_(approvals)).order_by(ApprovalWork.id)
    for row in session.scalars(asked):
        found[row.approval_id].append(row)
    return found
