"""What is still to pay: by job, by payer and age, on account, and what waits to be invoiced."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from sqlalchemy import ScalarSelect, exists, func, select
from sqlalchemy.orm import Session, joinedload

from shopbook.models.customers import Customer
from shopbook.models.jobs import Job
from shopbook.models.money import Agreement, ApprovalReading, Invoice, Quote
from shopbook.queries.money.billable import AgreedWork, BillingDay, agreed_work, bill_agreed, billing_day
from shopbook.queries.money.invoices import PayerStanding, is_live_invoice, payer_standings
from shopbook.queries.money.issued import Issued, is_agreed_since, issued_of
from shopbook.queries.money.owing import PayerOwes, owing_of_papers, owing_so_far
from shopbook.queries.money.payers import NamedPayer, payers_by_job, usual_days
from shopbook.queries.money.payments import free_by_payer, list_free
from shopbook.queries.money.split import Split, split_not_issued
from shopbook.queries.money.whose import NamedSum, have_others
from shopbook.trade.billing.ageing import Ageing, OwedRow, owed_by_age, owed_by_payer
from shopbook.trade.errors import RuleBroken
from shopbook.trade.purposes import JobPurpose

NOBODY = "without a name"


@dataclass(frozen=True, slots=True)
class JobStands:
    """How one job stands: `is_invoiced` says whether still to pay is of papers or of the invoice so far.

    `agreed_minor` is with tax, `agreed_net_minor` without; `paid_minor` counts deposits, but no security. `rest_minor`
    (with tax) was agreed after the newest invoice and stands on none. `held` is what payers have not approved: not
    billed yet. `owing` says who owes `owed_minor`; who owes nothing is left out. `invoices` are those no credit note
    took back whole.

    A job that was called off, and our own car, goodwill or a comeback, owe nothing but what stands on a paper: called
    off with 1,200.00 agreed and a deposit of 300.00 held, 0.00 is owed and 300.00 is on account, to be refunded.
    """

    agreed_minor: int
    agreed_net_minor: int
    paid_minor: int
    owed_minor: int
    due_now_minor: int
    is_invoiced: bool
    on_account_minor: int = 0
    held_minor: int = 0
    security_minor: int = 0
    rest_minor: int = 0
    invoices: tuple[Invoice, ...] = ()
    owing: tuple[PayerOwes, ...] = ()
    is_shared: bool = False
    """Whether more than one pays, so that each sum wants its payer's name."""
    held: tuple[NamedSum, ...] = ()
    lacks_keys: bool = False
    """Whether more is to be billed, and an invoice of before keys must be matched first."""

    def owed_by(self, customer_id: int | None, day: date) -> int:
        """What one payer owes by a day; of a single payer all that is due, under whatever name it pays."""
        if not self.is_shared:
            return self.due_now_minor
        return sum(row.owed_minor for row in self.owing if row.customer_id == customer_id and row.due_on <= day)


def job_stands(session: Session, job_ids: Iterable[int], day: date) -> dict[int, JobStands]:
    """How each of these jobs stands on a day; the number of statements does not depend on how many.

    `due_now_minor` is what must be paid before the keys: papers due by the day, or without an invoice what is due by
    it of the invoice so far (of a single payer all of it).
    """
    ids = sorted(set(job_ids))
    if not ids:
        return {}
    work, billing, issued = agreed_work(session, ids), billing_day(session, day), issued_of(session, ids)
    standings = payer_standings(session, (paper.id for each in issued.values() for paper in each.owing))
    payers = payers_by_job(session, ids)
    usual = usual_days(session, day) if any(have_others(own) for own in payers.values()) else 0
    names = {payer.customer_id or 0: payer.name for own in payers.values() for payer in own}
    names |= payer_names(session, {row.customer_id or 0 for rows in standings.values() for row in rows} - {0, *names})
    free, securities = free_by_payer(session, ids)
    billed = _billed(session, ids)
    found = {}
    for job_id in ids:
        rows = [row for paper in issued[job_id].owing for row in standings[paper.id]]
        is_billed, own = job_id in billed, free.get(job_id, {})
        split = _split(session, work[job_id], issued[job_id], payers[job_id], billing) if is_billed else None
        if issued[job_id].papers or not is_billed:
            owing = owing_of_papers(rows, names)
        else:
            owing = owing_so_far(split, issued[job_id], rows, own, (day, usual)) if split else []
        is_invoiced = bool(issued[job_id].papers)
        stands = _stands(owing, rows, sum(own.values()), day, has_account=is_invoiced or not is_billed)
        gross, net, beyond = _agreed(session, work[job_id], billing) if is_billed else (0, 0, 0)
        found[job_id] = replace(
            stands,
            is_invoiced=is_invoiced,
            security_minor=securities.get(job_id, 0),
            agreed_minor=gross,
            agreed_net_minor=net,
            held_minor=beyond,
            rest_minor=_rest(work[job_id], issued[job_id], split, payers[job_id]),
            invoices=issued[job_id].papers,
            is_shared=have_others(payers[job_id]) or len({row.customer_id for row in rows}) > 1,
            held=split.held if split else (),
            lacks_keys=is_billed and issued[job_id].lacks_keys and is_agreed_since(work[job_id], issued[job_id]),
        )
    return found


def _billed(session: Session, ids: list[int]) -> set[int]:
    """Those of these jobs whose agreed work is owed: paid for, and not called off."""
    asked = select(Job.id).where(Job.id.in_(ids), Job.called_off_at.is_(None), Job.purpose == JobPurpose.PAID)
    return set(session.scalars(asked))


def _split(
    session: Session, work: AgreedWork, issued: Issued, payers: Sequence[NamedPayer], billing: BillingDay
) -> Split | None:
    """What is billed now, and to whom; None where it cannot be worked out."""
    try:
        return split_not_issued(session, work, issued, payers, billing)
    except RuleBroken:
        return None


def _agreed(session: Session, work: AgreedWork, billing: BillingDay) -> tuple[int, int, int]:
    """What was agreed with tax and without, and what passes it; zeros where it cannot be worked out."""
    try:
        found = bill_agreed(session, work, billing)
    except RuleBroken:
        return 0, 0, 0
    return found.bill.gross_minor, found.bill.net_minor, found.beyond.held_minor


def _stands(
    owing: Sequence[PayerOwes], rows: Sequence[PayerStanding], free: int, day: date, *, has_account: bool
) -> JobStands:
    return JobStands(
        agreed_minor=0,
        agreed_net_minor=0,
        paid_minor=sum(row.paid_minor for row in rows) + free,
        owed_minor=sum(row.owed_minor for row in owing),
        due_now_minor=sum(row.owed_minor for row in owing if row.due_on <= day),
        is_invoiced=False,
        on_account_minor=free if has_account else 0,
        owing=tuple(row for row in owing if row.owed_minor > 0),
    )


def _rest(work: AgreedWork, issued: Issued, split: Split | None, payers: Sequence[NamedPayer]) -> int:
    """With tax: approved since the newest invoice and on none; zero where it cannot be worked out."""
    if split is None or not (is_agreed_since(work, issued) or (issued.papers and have_others(payers))):
        return 0
    return max(0, split.billable.bill.gross_minor)


def still_to_pay(session: Session, job_ids: Iterable[int], day: date) -> dict[int, int]:
    """What is still to pay of each job: of its papers, or before an invoice of what was agreed."""
    return {job_id: stands.owed_minor for job_id, stands in job_stands(session, job_ids, day).items()}


@dataclass(frozen=True, slots=True)
class OwedLine:
    """What one payer still owes of one paper."""

    invoice: Invoice
    job_number: int
    customer_id: int | None
    payer: str
    due_on: date
    owed_minor: int


def list_owed(session: Session) -> list[OwedLine]:
    """Every share that is not paid, the one due first at the head; papers of jobs that are settled are done with."""
    rows = session.execute(
        select(Invoice, Job.number)
        .join(Job, Job.id == Invoice.job_id)
        .where(Job.settled_at.is_(None), Invoice.kind != "credit")
    ).all()
    papers = {invoice.id: (invoice, number) for invoice, number in rows}
    open_rows = [row for each in payer_standings(session, papers).values() for row in each if row.owed_minor > 0]
    names = payer_names(session, {row.customer_id for row in open_rows if row.customer_id})
    lines = [
        OwedLine(
            invoice=papers[row.invoice_id][0],
            job_number=papers[row.invoice_id][1],
            customer_id=row.customer_id,
            payer=names.get(row.customer_id or 0, NOBODY),
            due_on=row.due_on,
            owed_minor=row.owed_minor,
        )
        for row in open_rows
    ]
    return sorted(lines, key=lambda line: (line.due_on, line.invoice.id))


@dataclass(frozen=True, slots=True)
class OnAccount:
    """Money of one payer that is set against nothing; a security is marked."""

    payment_id: int
    number: int
    customer_id: int | None
    payer: str
    job_id: int | None
    job_number: int | None
    kind: str
    on: date
    free_minor: int


def list_on_account(session: Session) -> list[OnAccount]:
    """Money held for customers: surplus, deposits held, securities; oldest first."""
    free = list_free(session, with_security=True)
    names = payer_names(session, {row.payment.customer_id for row in free if row.payment.customer_id})
    ids = {row.payment.job_id for row in free if row.payment.job_id}
    numbers = {key: number for key, number in session.execute(select(Job.id, Job.number).where(Job.id.in_(ids)))}
    return [
        OnAccount(
            payment_id=row.payment.id,
            number=row.payment.number,
            customer_id=row.payment.customer_id,
            payer=names.get(row.payment.customer_id or 0, NOBODY),
            job_id=row.payment.job_id,
            job_number=numbers.get(row.payment.job_id or 0),
            kind=row.payment.kind,
            on=row.payment.on,
            free_minor=row.free_minor,
        )
        for row in free
    ]


def owed_ageing(lines: Iterable[OwedLine], on_account: Iterable[OnAccount], day: date) -> Ageing:
    """What is owed by age on a day, and what is held on account."""
    return owed_by_age(_rows(lines, on_account), day)


def owed_ageing_by_payer(
    lines: Iterable[OwedLine], on_account: Iterable[OnAccount], day: date
) -> list[tuple[str, Ageing]]:
    """The same for each payer, the most overdue first."""
    return owed_by_payer(_rows(lines, on_account), day)


def _rows(lines: Iterable[OwedLine], on_account: Iterable[OnAccount]) -> list[OwedRow]:
    owed = [OwedRow(line.payer, line.due_on, line.owed_minor) for line in lines]
    return owed + [OwedRow(row.payer, row.on, -row.free_minor) for row in on_account if row.kind != "security"]


def payer_names(session: Session, ids: set[int]) -> dict[int, str]:
    """How payers are called, by customer id."""
    if not ids:
        return {}
    rows = session.execute(select(Customer.id, Customer.name, Customer.phone).where(Customer.id.in_(ids)))
    return {key: name or phone or NOBODY for key, name, phone in rows}


def list_to_invoice(session: Session, day: date, limit: int = 50) -> list[Job]:
    """Jobs that are ready or went and were agreed: without an invoice that stands, or with more agreed after it.

    The longest ready first; a fixed number of statements.
    """
    asked = (
        select(Job)
        .where(
            Job.settled_at.is_(None),
            Job.called_off_at.is_(None),
            Job.ready_at.is_not(None),
            Job.agreed_at.is_not(None),
            Job.purpose == JobPurpose.PAID,
            exists().where(Quote.job_id == Job.id),
            ~Job.is_sample,
            ~exists().where(Invoice.job_id == Job.id, is_live_invoice())
            | exists().where(Agreement.job_id == Job.id, Agreement.at > _newest_issue())
            | exists().where(
                Agreement.job_id == Job.id,
                ApprovalReading.agreement_id == Agreement.id,
                ApprovalReading.at > _newest_issue(),
            ),
        )
        .options(joinedload(Job.customer), joinedload(Job.vehicle))
        .order_by(Job.ready_at, Job.id)
        .limit(limit)
    )
    found = list(session.scalars(asked))
    stands = job_stands(session, [job.id for job in found], day)
    return [job for job in found if stands[job.id].rest_minor or not stands[job.id].is_invoiced]


def _newest_issue() -> ScalarSelect[Any]:
    """When the newest invoice of the job that stands was issued."""
    asked = select(func.max(Invoice.issued_at)).where(Invoice.job_id == Job.id, is_live_invoice())
    return asked.correlate(Job).scalar_subquery()
