"""What is still to pay: by job, by payer and age, and on account."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session, joinedload

from shopbook.models.jobs import Job
from shopbook.models.money import Invoice, InvoicePayer
from shopbook.queries.customers import ids_of
from shopbook.queries.money.accounts import Accounts, read_accounts
from shopbook.queries.money.as_of import open_after
from shopbook.queries.money.billable import AgreedWork, BillingDay, agreed_work, bill_agreed, billing_of
from shopbook.queries.money.invoices import PayerStanding, known_by, standings_of
from shopbook.queries.money.issued import Issued, is_agreed_since
from shopbook.queries.money.owing import PayerOwes, owing_of_papers, owing_so_far
from shopbook.queries.money.payers import NOBODY, NamedPayer, usual_days
from shopbook.queries.money.payments import list_free_on
from shopbook.queries.money.split import Split, split_not_issued
from shopbook.queries.money.whose import NamedSum, have_others, risks_among
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.billing.ageing import Ageing, OwedRow, owed_by_age, owed_by_payer
from shopbook.trade.errors import RuleBroken
from shopbook.trade.purposes import is_paid_for


@dataclass(frozen=True, slots=True)
class JobStands:
    """How one job stands: `is_invoiced` says whether still to pay is of papers or of the invoice so far.

    `agreed_minor` is with tax, `agreed_net_minor` without; `paid_minor` counts deposits, but no security. `rest_minor`
    (with tax) was agreed after the newest invoice and stands on none. `held` is what payers have not approved: not
    billed yet. `owing` says who owes `owed_minor`; who owes nothing is left out. `invoices` are those no credit note
    took back whole.

    A cancelled job, and our own car, goodwill or a comeback, owe nothing but what stands on a paper: called
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
    return stands_on(ShopOn(session, day), job_ids)


def stands_on(shop: ShopOn, job_ids: Iterable[int]) -> dict[int, JobStands]:
    """The same on the day of a shop that is read already."""
    ids = sorted(set(job_ids))
    return stands_of(read_accounts(shop, ids)) if ids else {}


def stands_of(accounts: Accounts) -> dict[int, JobStands]:
    """The same of what is read already, on the day of its shop; no statement."""
    return {job_id: _stands_of(accounts, job_id) for job_id in accounts.charged}


def agreed_nets(shop: ShopOn, jobs: Collection[Job]) -> dict[int, int]:
    """What was agreed of these jobs without tax as it would be billed on the shop's day, by job id: the same figure as
    `JobStands.agreed_net_minor`, for whoever asks nothing of payers and papers. A fixed number of statements."""
    work = agreed_work(shop.session, [job.id for job in jobs]) if jobs else {}
    return {
        job.id: _agreed(work[job.id], billing_of(shop))[1]
        if is_paid_for(job.purpose) and job.called_off_at is None
        else 0
        for job in jobs
    }


def _stands_of(accounts: Accounts, job_id: int) -> JobStands:
    session, day, billing = accounts.shop.session, accounts.shop.day, accounts.billing
    work, issued, payers = accounts.work[job_id], accounts.issued[job_id], accounts.payers[job_id]
    rows, is_billed = accounts.rows_owing(job_id), accounts.charged[job_id].is_billed
    split = _split(session, work, issued, payers, billing) if is_billed else None
    stands = _stands(_owing(accounts, job_id, split), rows, accounts.paid_free(job_id), day)
    gross, net, beyond = _agreed(work, billing) if is_billed else (0, 0, 0)
    is_invoiced = bool(issued.papers)
    return replace(
        stands,
        is_invoiced=is_invoiced,
        on_account_minor=accounts.paid_free(job_id) if is_invoiced or not is_billed else 0,
        security_minor=accounts.securities.get(job_id, 0),
        agreed_minor=gross,
        agreed_net_minor=net,
        held_minor=beyond,
        rest_minor=_rest(work, issued, split, payers),
        invoices=issued.papers,
        is_shared=have_others(payers) or len({row.whose_id for row in rows}) > 1,
        held=split.held if split else (),
        lacks_keys=is_billed and issued.lacks_keys and is_agreed_since(work, issued),
    )


def _owing(accounts: Accounts, job_id: int, split: Split | None) -> list[PayerOwes]:
    """Who owes what: of papers, or while none stands of what is billed."""
    issued, rows = accounts.issued[job_id], accounts.rows_owing(job_id)
    if issued.papers or not accounts.charged[job_id].is_billed:
        return owing_of_papers(rows, accounts.names)
    days = (accounts.shop.day, usual_days(accounts.shop))
    fees = {paper.id for paper in issued.owing if paper.kind == "fee"}
    work = [row for row in rows if row.invoice_id not in fees]
    charged = owing_of_papers([row for row in rows if row.invoice_id in fees], accounts.names)
    return charged + (owing_so_far(split, issued, work, accounts.free.get(job_id, {}), days) if split else [])


def risks_in(accounts: Accounts) -> dict[int, tuple[NamedSum, ...]]:
    """What is at the shop's risk of these jobs (`list_risks`), of what is read already; no statement."""
    wanted = [job_id for job_id in accounts.charged if accounts.has_other_payer(job_id)]
    return risks_among(accounts.shop.session, wanted, accounts.payers, accounts.approvals.agreed, accounts.issued)


def _split(
    session: Session, work: AgreedWork, issued: Issued, payers: Sequence[NamedPayer], billing: BillingDay
) -> Split | None:
    """What is billed now, and to whom; None where it cannot be worked out."""
    try:
        return split_not_issued(session, work, issued, payers, billing)
    except RuleBroken:
        return None


def _agreed(work: AgreedWork, billing: BillingDay) -> tuple[int, int, int]:
    """What was agreed with tax and without, and what passes it; zeros where it cannot be worked out."""
    try:
        found = bill_agreed(work, billing)
    except RuleBroken:
        return 0, 0, 0
    return found.bill.gross_minor, found.bill.net_minor, found.beyond.held_minor


def _stands(owing: Sequence[PayerOwes], rows: Sequence[PayerStanding], free: int, day: date) -> JobStands:
    return JobStands(
        agreed_minor=0,
        agreed_net_minor=0,
        paid_minor=sum(row.paid_minor for row in rows) + free,
        owed_minor=sum(row.owed_minor for row in owing),
        due_now_minor=sum(row.owed_minor for row in owing if row.due_on <= day),
        is_invoiced=False,
        owing=tuple(row for row in owing if row.owed_minor > 0),
    )


def _rest(work: AgreedWork, issued: Issued, split: Split | None, payers: Sequence[NamedPayer]) -> int:
    """With tax: approved since the newest invoice and on none; zero where it cannot be worked out."""
    if split is None or not (is_agreed_since(work, issued) or (issued.papers and have_others(payers))):
        return 0
    return max(0, split.billable.bill.gross_minor)


@dataclass(frozen=True, slots=True)
class OwedLine:
    """What one payer still owes of one paper."""

    invoice: Invoice
    job_number: int
    customer_id: int | None
    payer: str
    due_on: date
    owed_minor: int
    phone: str = ""


def list_owed(session: Session, day: date | None = None, customer_id: int | None = None) -> list[OwedLine]:
    """Every share not paid at the end of a day (none: by now), by the days of the ledgers, the one due first on top;
    with a customer only theirs."""
    by_day = day or date.max
    rows = _shares_on(session, by_day, customer_id)
    papers = {invoice.id: (invoice, number) for _, invoice, number in rows if invoice.kind != "credit"}
    payers = {row.whose_id: (row.customer.called, row.customer.phone) for row, *_ in rows if row.customer}
    standings = standings_of(session, papers, [(row, invoice.credits_id) for row, invoice, _ in rows], by_day)
    lines = [
        _line(*papers[row.invoice_id], row, *payers.get(row.whose_id, (NOBODY, "")))
        for each in standings.values()
        for row in each
        if row.owed_minor > 0
    ]
    return sorted(lines, key=lambda line: (line.due_on, line.invoice.id))


def _line(invoice: Invoice, number: int, row: PayerStanding, name: str, phone: str) -> OwedLine:
    return OwedLine(invoice, number, row.whose_id, name, row.due_on, row.owed_minor, phone)


def owed_besides(session: Session, job: Job) -> list[OwedLine]:
    """What the customer of a job owes by now for other jobs."""
    owed = list_owed(session, customer_id=job.customer.id) if job.customer else []
    return [line for line in owed if line.job_number != job.number]


def _shares_on(session: Session, day: date, customer_id: int | None) -> list[tuple[InvoicePayer, Invoice, int]]:
    """The shares (with their customers) of all papers of jobs that were open at the end of a day, each with its paper
    and the number of its job, as they were written."""
    asked = (
        select(InvoicePayer, Invoice, Job.number)
        .join(Invoice, Invoice.id == InvoicePayer.invoice_id)
        .join(Job, Job.id == Invoice.job_id)
        .where(open_after(day), *known_by(day))
        .options(joinedload(InvoicePayer.customer))
    )
    if customer_id is not None:
        asked = asked.where(InvoicePayer.customer_id.in_(ids_of([customer_id])))
    # Put in order here: asked in order of their ids, all shares would be walked through.
    rows = [(share, invoice, number) for share, invoice, number in session.execute(asked)]
    return sorted(rows, key=lambda row: row[0].id)


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


def list_on_account(session: Session, day: date | None = None) -> list[OnAccount]:
    """Money held for customers at the end of a day: surplus, deposits held, securities; oldest first."""
    free = list_free_on(session, day or date.max)
    return [
        OnAccount(
            payment_id=row.payment.id,
            number=row.payment.number,
            customer_id=row.payment.whose_id,
            payer=row.payment.customer.called if row.payment.customer else NOBODY,
            job_id=row.payment.job_id,
            job_number=row.payment.job.number if row.payment.job else None,
            kind=row.payment.kind,
            on=row.payment.on,
            free_minor=row.free_minor,
        )
        for row in free
    ]


def owed_as_of(session: Session, day: date) -> Ageing:
    """What was owed at the end of a day by age, and what was held on account."""
    return owed_ageing(list_owed(session, day), list_on_account(session, day), day)


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
