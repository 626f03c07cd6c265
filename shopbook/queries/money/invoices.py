"""Issued invoices, deposit invoices and credit notes: one with all, lists, and what stands of each for each payer."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date

from sqlalchemy import ColumnElement, and_, func, or_, select
from sqlalchemy.orm import Session, aliased, selectinload

from shopbook.models.jobs import Job
from shopbook.models.money import (
    Allocation,
    Invoice,
    InvoiceApproval,
    InvoiceLine,
    InvoicePayer,
    InvoiceTax,
    Payment,
)
from shopbook.queries.money.set_lines import list_set_lines
from shopbook.trade.billing import Bill, BillLine, Credit, LineKind, TaxTotal, issued_bill, issued_credit, rate_of
from shopbook.trade.errors import NotFound

PAPER_WORDS = {"invoice": "Invoice", "deposit": "Deposit invoice", "credit": "Credit note", "fee": "Invoice"}
"""What each kind of issued paper calls itself."""


def get_invoice(session: Session, invoice_id: int) -> Invoice:
    """One paper with its lines, tax and payers loaded; NotFound when there is none."""
    found = _loaded(session, [invoice_id])
    if not found:
        raise NotFound("That invoice is not in the book.")
    return found[0]


def _loaded(session: Session, ids: Iterable[int]) -> list[Invoice]:
    return list(
        session.scalars(
            select(Invoice)
            .where(Invoice.id.in_(list(ids)))
            .order_by(Invoice.id)
            .options(selectinload(Invoice.lines), selectinload(Invoice.taxes), selectinload(Invoice.payers))
        )
    )


def last_paper_id(session: Session) -> int:
    """The key of the newest paper; zero before there is one."""
    return session.scalar(select(func.max(Invoice.id))) or 0


def list_papers_since(session: Session, last_id: int) -> list[Invoice]:
    """The papers issued after one, oldest first, loaded."""
    return _loaded(session, session.scalars(select(Invoice.id).where(Invoice.id > last_id)))


def list_job_invoices(session: Session, job_id: int) -> list[Invoice]:
    """All papers of one job, oldest first, loaded."""
    return _loaded(session, session.scalars(select(Invoice.id).where(Invoice.job_id == job_id)))


def numbers_of(session: Session, invoice_ids: Collection[int]) -> dict[int, tuple[str, int, int]]:
    """(kind, number, number of its job) of each of these papers."""
    asked = select(Invoice.id, Invoice.kind, Invoice.number, Job.number).join(Job, Job.id == Invoice.job_id)
    rows = session.execute(asked.where(Invoice.id.in_(invoice_ids))) if invoice_ids else ()
    return {key: (kind, number, job) for key, kind, number, job in rows}


def list_credits(session: Session, invoice_id: int) -> list[Invoice]:
    """The credit notes against one paper, oldest first, loaded."""
    return _loaded(session, session.scalars(select(Invoice.id).where(Invoice.credits_id == invoice_id)))


def list_corrections(session: Session, invoice_id: int) -> list[Invoice]:
    """The corrected invoice that stands in the place of this one, where there is one."""
    return list(session.scalars(select(Invoice).where(Invoice.corrects_id == invoice_id)))


def list_invoice_approvals(session: Session, invoice_id: int) -> list[InvoiceApproval]:
    """What payers approved of one paper beyond its quotes, oldest first."""
    asked = select(InvoiceApproval).where(InvoiceApproval.invoice_id == invoice_id)
    return list(session.scalars(asked.order_by(InvoiceApproval.id)))


def is_live_invoice() -> ColumnElement[bool]:
    """A condition on a paper: an invoice (no deposit) that no credit notes have taken back whole."""
    credit = aliased(Invoice)
    back = (
        select(func.sum(credit.gross_minor)).where(credit.credits_id == Invoice.id).correlate(Invoice).scalar_subquery()
    )
    return and_(Invoice.kind == "invoice", or_(back.is_(None), Invoice.gross_minor + back != 0))


def find_live_invoice(session: Session, job_id: int) -> Invoice | None:
    """The job's invoice that no credit note has taken back whole; deposit invoices do not count."""
    asked = select(Invoice).where(Invoice.job_id == job_id, is_live_invoice()).order_by(Invoice.id.desc())
    return session.scalars(asked).first()


def has_any_invoice(session: Session) -> bool:
    """Whether the book has issued any paper yet."""
    return session.scalar(select(Invoice.id).limit(1)) is not None


def bill_of(invoice: Invoice) -> Bill:
    """An issued paper as the trade's billing reads it, nothing worked out anew."""
    return issued_bill([_told(line, 1) for line in invoice.lines], [_total(row, 1) for row in invoice.taxes])


def credits_of(bill: Bill, credits: Sequence[Invoice]) -> list[Credit]:
    """Earlier credit notes against that bill, oldest first."""
    found: list[Credit] = []
    for one in credits:
        lines, totals = [_told(each, -1) for each in one.lines], [_total(row, -1) for row in one.taxes]
        found.append(issued_credit(bill, lines, totals, found))
    return found


def issued_line(line: InvoiceLine) -> BillLine:
    """A line as it was issued, at its net; without a key where it was issued before lines had keys."""
    return BillLine(
        LineKind(line.kind),
        line.words,
        line.net_minor,
        line.tax_code,
        net_minor=line.net_minor,
        key=line.line_key or 0,
        item=line.item_key or 0,
        title=line.group_title,
        minutes=line.minutes or 0,
    )


def _told(line: InvoiceLine, sign: int) -> BillLine:
    """With its title in its words; a credit note's in positive figures (`sign` −1)."""
    told, net = issued_line(line), sign * line.net_minor
    return replace(told, words=told.titled, amount_minor=net, net_minor=net)


def _total(row: InvoiceTax, sign: int) -> TaxTotal:
    rate = rate_of(row.code, row.name, row.rate_thousandths)
    return TaxTotal(rate, sign * row.basis_minor, sign * row.tax_minor)


@dataclass(frozen=True, slots=True)
class PayerStanding:
    """How one payer stands on one paper: the share less what was credited, and what was set against it."""

    invoice_id: int
    customer_id: int | None
    """As the paper keeps it; `whose_id` is who that is by now."""
    due_on: date
    words: str
    share_minor: int
    paid_minor: int
    """Money, and what coins rounded off."""
    whose_id: int | None
    written_off_minor: int = 0
    """Never paid: given up, until money comes after all."""

    @property
    def owed_minor(self) -> int:
        """Still to pay; below zero only until what is too much has been freed."""
        return self.share_minor - self.paid_minor - self.written_off_minor


def payer_standings(
    session: Session, invoice_ids: Iterable[int], day: date | None = None
) -> dict[int, list[PayerStanding]]:
    """How every payer stands on each of these papers (not credit notes), by paper; two statements.

    With a day as of its end: credit notes, rests moved and money of later days are left out.
    """
    ids = sorted(set(invoice_ids))
    of_paper = Invoice.id.in_(ids) | Invoice.credits_id.in_(ids)
    asked = select(InvoicePayer, Invoice.credits_id).join(Invoice, Invoice.id == InvoicePayer.invoice_id)
    if day is not None:
        asked = asked.where(*known_by(day))
    rows = session.execute(asked.where(of_paper).order_by(InvoicePayer.id)) if ids else ()
    return standings_of(session, ids, [(row, credits_id) for row, credits_id in rows], day)


def known_by(day: date) -> tuple[ColumnElement[bool], ColumnElement[bool]]:
    """Conditions on a share and its paper: both were in the book at the end of a day."""
    return Invoice.issued_on <= day, InvoicePayer.on.is_(None) | (InvoicePayer.on <= day)


def standings_of(
    session: Session,
    invoice_ids: Collection[int],
    shares: Iterable[tuple[InvoicePayer, int | None]],
    day: date | None = None,
) -> dict[int, list[PayerStanding]]:
    """The same of shares that are read already, in their order, each with the paper that its credit note takes back of.

    One statement; none where there is no paper.
    """
    found: dict[int, list[PayerStanding]] = {invoice_id: [] for invoice_id in invoice_ids}
    rows = list(shares) if found else []
    sums: dict[tuple[int, int | None], int] = defaultdict(int)
    for row, credits_id in rows:
        sums[(credits_id or row.invoice_id, row.customer_id)] += row.share_minor
    against = _set_against(session, found, day)
    for key, row in _first_rows(found, rows).items():
        paid, gone = against[(*key, False)], against[(*key, True)]
        standing = PayerStanding(
            row.invoice_id, row.customer_id, row.due_on, row.words, sums[key], paid, row.whose_id, gone
        )
        found[row.invoice_id].append(standing)
    return found


def _first_rows(
    papers: Collection[int], rows: Iterable[tuple[InvoicePayer, int | None]]
) -> dict[tuple[int, int | None], InvoicePayer]:
    """The row of each payer on each of these papers, as issued; what moved to another payer later only adds to it."""
    firsts: dict[tuple[int, int | None], InvoicePayer] = {}
    for row, _ in rows:
        if row.invoice_id in papers:
            firsts.setdefault((row.invoice_id, row.customer_id), row)
    return firsts


def _set_against(
    session: Session, invoice_ids: Collection[int], day: date | None
) -> dict[tuple[int, int | None, bool], int]:
    """What was set against these papers, by paper, customer and whether it was written off."""
    sums: dict[tuple[int, int | None, bool], int] = defaultdict(int)
    if invoice_ids and day is not None:
        for row in list_set_lines(session, Allocation.invoice_id.in_(invoice_ids)):
            if row.counts_on <= day:
                sums[(row.paper_id, row.customer_id, row.kind == "written_off")] += row.amount_minor
    elif invoice_ids:
        asked = select(Allocation.invoice_id, Allocation.customer_id, Payment.kind, func.sum(Allocation.amount_minor))
        of_paper = asked.join(Payment, Payment.id == Allocation.payment_id)
        for invoice_id, customer_id, kind, amount in session.execute(
            of_paper.where(Allocation.invoice_id.in_(invoice_ids)).group_by(
                Allocation.invoice_id, Allocation.customer_id, Payment.kind
            )
        ):
            sums[(invoice_id, customer_id, kind == "written_off")] += int(amount)
    return sums


def total_invoiced(session: Session, first: date, last: date) -> tuple[int, int]:
    """(net, tax) of the papers of these days, both included, credit notes taken off."""
    asked = select(func.sum(Invoice.net_minor), func.sum(Invoice.tax_minor))
    net, tax = session.execute(asked.where(Invoice.issued_on.between(first, last))).one()
    return int(net or 0), int(tax or 0)
