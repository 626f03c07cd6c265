"""What of a payment is set against which paper: allocated, moved, freed again; a job with nothing left is settled."""

from collections.abc import Sequence
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Allocation, Invoice, Payment
from shopbook.queries.customers import find_whole
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.money.invoices import PayerStanding, get_invoice, payer_standings
from shopbook.queries.money.owed import job_stands
from shopbook.queries.money.payments import allocated_by_invoice, free_of, get_payment, list_free, list_invoice_payments
from shopbook.queries.shop.days import day_of
from shopbook.services.act import Act
from shopbook.services.jobs.leaving import mark_settled, mark_unsettled
from shopbook.services.postings import post_allocation, post_payment, write_job_logs
from shopbook.trade.billing.number_series import Series
from shopbook.trade.errors import RuleBroken
from shopbook.trade.purposes import JobPurpose


def open_shares(
    session: Session, job_id: int, customer_id: int | None, invoice_id: int | None = None
) -> list[PayerStanding]:
    """What this payer owes of the job's papers (or of the chosen one), the oldest first."""
    papers = session.scalars(
        select(Invoice.id).where(Invoice.job_id == job_id, Invoice.kind != "credit").order_by(Invoice.id)
    ).all()
    chosen = [paper for paper in papers if invoice_id in (None, paper)]
    if invoice_id is not None and not chosen:
        raise RuleBroken("That invoice belongs to another job.", "invoice_id")
    standings, payer = payer_standings(session, chosen), find_whole(session, customer_id)
    whose = payer.id if payer else None
    return [row for paper in chosen for row in standings[paper] if row.owed_minor > 0 and row.whose_id == whose]


def allocate(act: Act, payment: Payment, shares: Sequence[PayerStanding]) -> int:
    """Set what is free of a payment against these shares in order; answers what is left on account."""
    free = free_of(act.session, payment.id)
    for share in shares:
        part = min(free, share.owed_minor)
        if part > 0:
            set_against(act, payment, share.invoice_id, share.customer_id, part)
            free -= part
    return free


def set_against(
    act: Act, payment: Payment, invoice_id: int, customer_id: int | None, amount_minor: int, reason: str = ""
) -> Allocation:
    """One line: so much of a payment against a payer's share of a paper; below zero takes it back."""
    return post_allocation(
        act.session,
        Allocation(
            payment_id=payment.id,
            invoice_id=invoice_id,
            customer_id=customer_id,
            amount_minor=amount_minor,
            at=act.moment,
            on=act.day,
            reason=reason.strip()[:200],
        ),
    )


def _set_against(act: Act, payment: Payment, invoice_id: int, amount_minor: int, reason: str) -> None:
    """The payer's own share before the others'."""
    rows = [row for row in payer_standings(act.session, [invoice_id])[invoice_id] if row.owed_minor > 0]
    if amount_minor > sum(row.owed_minor for row in rows):
        raise RuleBroken("That is more than is still to pay on that invoice. Enter a smaller amount.", "amount")
    spread(act, payment, sorted(rows, key=lambda row: row.whose_id != payment.whose_id), amount_minor, reason)


def move_allocation(
    act: Act,
    payment_id: int,
    *,
    from_invoice_id: int | None,
    to_invoice_id: int | None,
    amount_minor: int,
    reason: str = "",
) -> None:
    """Move a part of a payment between papers; None stands for the account.

    RuleBroken for more than is there or owed.
    """
    payment = get_payment(act.session, payment_id)
    if payment.series != Series.RECEIPT:
        raise RuleBroken("A rounding or written-off debt stays with its invoice.")
    if amount_minor <= 0:
        raise RuleBroken("Enter an amount above zero, for example 120 or 120.50.", "amount")
    if from_invoice_id is not None:
        _take_back(act, payment, from_invoice_id, amount_minor, reason)
    if amount_minor > free_of(act.session, payment.id):
        raise RuleBroken("That is more than this payment’s unused credit. Enter a smaller amount.", "amount")
    if to_invoice_id is not None:
        _set_against(act, payment, to_invoice_id, amount_minor, reason)
    invoice_ids = filter(None, (from_invoice_id, to_invoice_id))
    job_ids = {get_invoice(act.session, invoice_id).job_id for invoice_id in invoice_ids} | {payment.job_id or 0}
    words = f"Moved part of receipt {payment.number}"
    write_job_logs(act, "move_allocation", "payment", payment.id, words, job_ids - {0})
    for job_id in sorted(job_ids - {0}):
        settle(act.session, act.moment, get_job_by_id(act.session, job_id))


def _take_back(act: Act, payment: Payment, invoice_id: int, amount_minor: int, reason: str) -> None:
    left = amount_minor
    for (paper, customer_id), amount in allocated_by_invoice(act.session, payment.id).items():
        part = min(left, amount) if paper == invoice_id else 0
        if part > 0:
            set_against(act, payment, invoice_id, customer_id, -part, reason)
            left -= part
    if left:
        raise RuleBroken("That is more than this payment paid of that invoice. Enter a smaller amount.", "amount")


def spread(act: Act, payment: Payment, shares: Sequence[PayerStanding], amount_minor: int, reason: str = "") -> None:
    """Set so much of a payment against these shares in order, each at most as far as it is owed."""
    left = amount_minor
    for share in shares:
        part = min(left, share.owed_minor)
        if part > 0:
            set_against(act, payment, share.invoice_id, share.customer_id, part, reason)
            left -= part


def use_what_is_free(act: Act, job_id: int, besides: Payment | None = None) -> None:
    """Set deposits held and surpluses of a job against its papers, the oldest money first; `besides` comes later."""
    for row in list_free(act.session, job_id=job_id):
        if besides is not None and row.payment.id == besides.id:
            continue
        allocate(act, row.payment, open_shares(act.session, job_id, row.payment.customer_id))


def free_surplus(act: Act, invoice_id: int) -> None:
    """Where more is set against a share than it comes to, free the surplus: what was given up first, then the newest.

    A rounding or write-off is no money: what comes free of it is taken back by a line of its own.
    """
    for share in payer_standings(act.session, [invoice_id])[invoice_id]:
        surplus = -share.owed_minor
        payments = [payment for payment, _ in list_invoice_payments(act.session, invoice_id)]
        for payment in sorted(payments, key=lambda one: (one.series == Series.RECEIPT, -one.id)):
            own = allocated_by_invoice(act.session, payment.id).get((invoice_id, share.customer_id), 0)
            part = min(surplus, own)
            if part > 0:
                set_against(act, payment, invoice_id, share.customer_id, -part)
                surplus -= part
                if payment.series != Series.RECEIPT:
                    take_difference_back(act, payment, part)


def recover(act: Act, payment: Payment, job_id: int) -> None:
    """What is free of a payment takes back what was written off of its payer ("bad debt recovered"), the newest first.

    The invoice is paid then by money, as far as it goes, and no more written off.
    """
    left = free_of(act.session, payment.id)
    asked = select(Payment).where(Payment.job_id == job_id, Payment.kind == "written_off", Payment.amount_minor > 0)
    for debt in act.session.scalars(asked.order_by(Payment.id.desc())) if left > 0 else ():
        for (invoice_id, customer_id), amount in allocated_by_invoice(act.session, debt.id).items():
            part = min(left, amount) if customer_id == payment.customer_id else 0
            if part > 0:
                set_against(act, debt, invoice_id, customer_id, -part)
                take_difference_back(act, debt, part, kind="recovered", reason="Bad debt recovered")
                set_against(act, payment, invoice_id, customer_id, part)
                left -= part


def take_difference_back(
    act: Act, payment: Payment, amount_minor: int, *, kind: str = "", reason: str = "The invoice was credited"
) -> None:
    """A part of an act: a line of its own takes a rounding or a write-off back that is set against nothing now."""
    post_payment(
        act.session,
        Payment(
            series=payment.series,
            number=0,
            kind=kind or payment.kind,
            customer_id=payment.customer_id,
            job_id=payment.job_id,
            amount_minor=-amount_minor,
            means=payment.means,
            at=act.moment,
            on=act.day,
            reverses_id=payment.id,
            reason=reason,
            person_id=act.actor.person_id,
        ),
    )


def settle(session: Session, now: datetime, job: Job) -> bool:
    """Settle a job that went and on which nothing is owed either way; open it again where something is.

    Money on account and securities still held are owed to the customer; agreed work that was never invoiced is not
    done with. Answers whether the job is settled.
    """
    if job.handed_over_at is None:
        return False
    papers = session.scalars(select(Invoice).where(Invoice.job_id == job.id, Invoice.kind != "credit")).all()
    standings = payer_standings(session, [paper.id for paper in papers])
    is_owed = any(row.owed_minor > 0 for rows in standings.values() for row in rows)
    is_held = bool(list_free(session, job_id=job.id, with_security=True))
    if is_owed or is_held or _waits_for_invoice(session, now, job, papers):
        mark_unsettled(session, job)
        return False
    return mark_settled(session, now, job)


def _waits_for_invoice(session: Session, now: datetime, job: Job, papers: Sequence[Invoice]) -> bool:
    """Whether paid work was agreed that no invoice ever held, or a payer has not approved its part of it.

    What was credited whole afterwards is done with.
    """
    stands = job_stands(session, [job.id], day_of(session, now))[job.id]
    has_invoice = any(paper.kind == "invoice" for paper in papers)
    is_open = stands.agreed_minor > 0 and not has_invoice and job.purpose == JobPurpose.PAID
    return is_open or stands.rest_minor > 0 or bool(stands.held)
