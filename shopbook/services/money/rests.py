"""What one payer still owes of an invoice is charged to another: shares move, the paper and its tax stay as issued."""

from sqlalchemy.orm import Session

from shopbook.models.money import Invoice, InvoicePayer
from shopbook.queries.customers import get_customer
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.money.billable import billing_day
from shopbook.queries.money.invoices import PayerStanding, get_invoice, payer_standings
from shopbook.queries.money.passing import list_passed, read_approved
from shopbook.queries.money.payers import due_on, usual_days
from shopbook.queries.money.whose import NamedSum
from shopbook.queries.money.words import get_wording
from shopbook.queries.shop.shop_on import shop_at
from shopbook.services.act import Act
from shopbook.services.money.allocations import settle
from shopbook.services.money.invoice_approvals import ApprovalSaid, keep_approvals
from shopbook.services.postings import refuse_closed, write_log
from shopbook.trade.billing.account import REST_MOVED
from shopbook.trade.errors import RuleBroken

MOVED = REST_MOVED
"""Words of the rows by which a rest moved."""


def move_rest(
    act: Act,
    invoice_id: int,
    *,
    from_id: int | None,
    to_id: int,
    amount_minor: int,
    reason: str,
    approval: ApprovalSaid | None = None,
) -> Invoice:
    """Charge what a payer still owes of an invoice, or a part of it, to another payer.

    An insurer is short by 12.40 of 1,314.95: it owes nothing any more, the customer 512.40 in all, by today's terms
    where it had no share yet. RuleBroken without a reason, for more than is owed, to the same payer, or while the other
    has not approved what it passes.
    """
    invoice = get_invoice(act.session, invoice_id)
    refuse_closed(act.session, act.day)
    rows = payer_standings(act.session, [invoice.id])[invoice.id]
    _check(act, rows, from_id, to_id, amount_minor, reason)
    passed = _rest_passed(act.session, invoice, to_id, amount_minor)
    keep_approvals(act, invoice, "rest", passed, {to_id: approval} if approval else {})
    known = {row.customer_id: row.due_on for row in rows}
    due = due_on(act.day, get_customer(act.session, to_id), usual_days(shop_at(act.session, act.moment)))
    for customer_id, amount in ((from_id, -amount_minor), (to_id, amount_minor)):
        act.session.add(
            InvoicePayer(
                invoice_id=invoice.id,
                customer_id=customer_id,
                share_minor=amount,
                due_on=known.get(customer_id, due),
                words=MOVED,
                on=act.day,
            )
        )
    # The shares before the job settles: it asks the book who owes what now.
    act.session.flush()
    words = f"Moved what was still to pay of invoice {invoice.number} to another payer: {reason.strip()}"
    write_log(act, "move_rest", "invoice", invoice.id, words[:1000], job_id=invoice.job_id)
    settle(act.session, act.moment, get_job_by_id(act.session, invoice.job_id))
    return invoice


def _check(
    act: Act, rows: list[PayerStanding], from_id: int | None, to_id: int, amount_minor: int, reason: str
) -> None:
    owed = sum(row.owed_minor for row in rows if row.customer_id == from_id)
    get_customer(act.session, to_id)
    if not reason.strip():
        raise RuleBroken("Enter a reason. The log keeps it.", "reason")
    if to_id == from_id:
        raise RuleBroken("Choose another payer.", "to")
    if amount_minor <= 0:
        raise RuleBroken("Enter an amount, for example 120 or 120.50.", "amount")
    if amount_minor > owed:
        rest = get_wording(act.session).money(max(0, owed))
        raise RuleBroken(f"Only {rest} is still to pay here. Enter that or less.", "amount")


def _rest_passed(session: Session, invoice: Invoice, to_id: int, amount_minor: int) -> list[NamedSum]:
    """By how much the other payer would be billed past its approval; empty where it is not."""
    billing = billing_day(session, invoice.supply_on)
    approved = read_approved(session, get_job_by_id(session, invoice.job_id), billing)
    return list_passed(session, approved, {to_id: amount_minor})
