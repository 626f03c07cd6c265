"""Jobs from what was agreed to what was invoiced: the work kept with their approvals held against what came of it."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, fields
from datetime import date

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Stage
from shopbook.models.money import ApprovalWork, Invoice, InvoiceLine
from shopbook.queries.jobs.plans import stages_of
from shopbook.queries.jobs.whole import Clocked, WholeJob, list_clocked
from shopbook.queries.money.accounts import Accounts
from shopbook.queries.money.approvals import AgreedQuote, agreed_quotes_of, sum_agreed
from shopbook.queries.money.costs import list_costs, materials_drawn, sum_by_job
from shopbook.queries.money.quotes import is_main
from shopbook.trade.floor.readiness import NEEDS_APPROVAL
from shopbook.trade.pricing.keys import item_key
from shopbook.trade.purposes import StagePurpose
from shopbook.trade.results.approved_work import ApprovedPiece, WorkKind
from shopbook.trade.results.margin import Costs
from shopbook.trade.results.waterfall import JobWaterfall, MaterialDrawn, StageWorked, UnbilledItem, waterfall

_KEPT = tuple(column.name for column in fields(ApprovedPiece))


@dataclass(slots=True)
class _Billed:
    """What was invoiced of one job without tax, and the items of which something is billed."""

    net_minor: int = 0
    items: dict[int, int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class _Read:
    """What came of one job: its stages by id, what was clocked, what it cost, and what is agreed of it."""

    stages: Mapping[int, Stage]
    clocked: Sequence[Clocked]
    spent: Costs
    agreed: Sequence[AgreedQuote]


def waterfalls(session: Session, job_ids: Collection[int], last: date) -> dict[int, JobWaterfall]:
    """The steps of these jobs with what was invoiced and spent up to a day, by job id; a fixed number of statements.

    Left out is a job of whose approval no planned work is known, or of which nothing is invoiced.
    """
    ids = sorted(set(job_ids))
    stages = stages_of(session, ids, with_struck=True, with_uses=False)
    spent = sum_by_job(list_costs(session, jobs=ids, last=last))
    clocked: dict[int, list[Clocked]] = defaultdict(list)
    for row in list_clocked(session, ids):
        if row.on <= last:
            clocked[row.job_id].append(row)
    read = {
        job_id: _Read(
            {stage.id: stage for stage in stages.get(job_id, ())},
            clocked[job_id],
            spent.get(job_id, Costs()),
            [row for row in rows if is_main(row.quote) or row.approval.on <= last],
        )
        for job_id, rows in agreed_quotes_of(session, ids).items()
    }
    return _waterfalls(session, read, _billed(session, read, last), last)


def waterfall_of(whole: WholeJob, accounts: Accounts, spent: Costs) -> JobWaterfall | None:
    """The same of one job that is read already, as it stands now; `spent` is what it cost so far. Two statements."""
    job_id, issued = whole.job.id, accounts.issued[whole.job.id]
    if not issued.papers:
        return None
    stages = {stage.id: stage for stage in whole.stages}
    read = _Read(stages, whole.clocked, spent, accounts.approvals.agreed[job_id])
    items = {item: net for item, net in issued.net_by_item.items() if item and net}
    billed = {job_id: _Billed(sum(issued.net_by_item.values()), items)}
    return _waterfalls(accounts.shop.session, {job_id: read}, billed, date.max).get(job_id)


def _waterfalls(
    session: Session, read: Mapping[int, _Read], billed: Mapping[int, _Billed], last: date
) -> dict[int, JobWaterfall]:
    pieces = _pieces(session, [row.approval.id for each in read.values() for row in each.agreed])
    drawn = materials_drawn(session, read, last)
    found = {}
    for job_id, each in read.items():
        own = [piece for row in each.agreed for piece in pieces.get(row.approval.id, ())]
        if own and billed[job_id].items:
            found[job_id] = _waterfall(job_id, each, own, drawn[job_id], billed[job_id])
    return found


def _waterfall(
    job_id: int, read: _Read, kept: Sequence[ApprovalWork], drawn: Sequence[MaterialDrawn], billed: _Billed
) -> JobWaterfall:
    made = waterfall(
        sum_agreed(read.agreed).net_minor,
        billed.net_minor,
        [_piece(row) for row in kept],
        _worked(read),
        drawn,
        read.spent,
    )
    return JobWaterfall(
        job_id,
        made,
        tuple(_unbilled(read.agreed, billed)),
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


def _unbilled(agreed: Sequence[AgreedQuote], billed: _Billed) -> Iterable[UnbilledItem]:
    for row in agreed:
        nets: dict[int, int] = defaultdict(int)
        for line in row.sum.taken.lines:
            nets[line.item] += line.net_minor
        for group in row.taken:
            item = item_key(group.first_key)
            if nets[item] and not billed.items.get(item):
                yield UnbilledItem(group.title, nets[item], not is_main(row.quote))


def _pieces(session: Session, approvals: Sequence[int]) -> dict[int, list[ApprovalWork]]:
    found: dict[int, list[ApprovalWork]] = defaultdict(list)
    asked = select(ApprovalWork).where(ApprovalWork.approval_id.in_(approvals)).order_by(ApprovalWork.id)
    for row in session.scalars(asked):
        found[row.approval_id].append(row)
    return found


def _billed(session: Session, jobs: Collection[int], last: date) -> dict[int, _Billed]:
    """What the papers of these jobs come to up to a day, fees left out, in all and by item; one statement."""
    asked = (
        select(Invoice.job_id, InvoiceLine.item_key, func.sum(InvoiceLine.net_minor))
        .join(Invoice, Invoice.id == InvoiceLine.invoice_id)
        .where(Invoice.job_id.in_(jobs), Invoice.kind != "fee", Invoice.issued_on <= last)
        .group_by(Invoice.job_id, InvoiceLine.item_key)
    )
    found: dict[int, _Billed] = defaultdict(_Billed)
    for job_id, item, net in session.execute(asked):
        own = found[job_id]
        own.net_minor += int(net)
        if item is not None and net:
            own.items[item] = int(net)
    return found
