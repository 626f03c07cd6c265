"""Debt is written off, in part or all, with a reason: a difference, never paid and never a credit note."""

from shopbook.models.money import Payment
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.money.debts import desk_limit, written_off
from shopbook.queries.money.invoices import PayerStanding, get_invoice, payer_standings
from shopbook.queries.money.words import get_wording
from shopbook.services.act import Act
from shopbook.services.money.allocations import settle, spread
from shopbook.services.money.payments import Taken, put_down
from shopbook.services.postings import write_log
from shopbook.trade.billing.pay_means import PayMeans
from shopbook.trade.errors import RuleBroken


def write_off(
    act: Act, invoice_id: int, *, customer_id: int | None, reason: str, amount_minor: int | None = None
) -> Payment:
    """Write off what a payer still owes of a paper, or a part of it; sum and tax of the paper stay (HMRC VATREC13040).

    The owner may write off all of it, the desk up to the limit of Settings, over all write-offs of that share. Where
    that money comes later it takes the write-off back. RuleBroken without a reason, past the limit, for more than is
    owed, or where nothing is.
    """
    invoice = get_invoice(act.session, invoice_id)
    if not reason.strip():
        raise RuleBroken("Enter a reason. The log keeps it.", "reason")
    shares = [row for row in payer_standings(act.session, [invoice.id])[invoice.id] if row.customer_id == customer_id]
    amount = _amount(act, shares, amount_minor)
    _refuse_past_limit(act, invoice.id, customer_id, amount)
    taken = Taken(customer_id, invoice.job_id, PayMeans.NONE, act.day, reason=reason)
    payment = put_down(act, "written_off", amount, taken)
    spread(act, payment, shares, amount)
    words = f"Wrote off {get_wording(act.session).money(amount)} of invoice {invoice.number}"
    write_log(act, "write_off", "invoice", invoice.id, words, job_id=invoice.job_id)
    settle(act.session, act.moment, get_job_by_id(act.session, invoice.job_id))
    return payment


def _amount(act: Act, shares: list[PayerStanding], amount_minor: int | None) -> int:
    owed = sum(row.owed_minor for row in shares)
    amount = owed if amount_minor is None else amount_minor
    if owed <= 0:
        raise RuleBroken("Nothing is owed here any more.")
    if amount <= 0:
        raise RuleBroken("Enter an amount, for example 120 or 120.50.", "amount")
    if amount > owed:
        raise RuleBroken(f"Only {get_wording(act.session).money(owed)} is owed. Enter that or less.", "amount")
    return amount


def _refuse_past_limit(act: Act, invoice_id: int, customer_id: int | None, amount_minor: int) -> None:
    if act.actor.may("money", "write_off"):
        return
    limit = desk_limit(act.session, act.day)
    if written_off(act.session, invoice_id).get(customer_id, 0) + amount_minor > limit:
        most = get_wording(act.session).money(limit)
        raise RuleBroken(f"You can write off up to {most} of an invoice. Ask an owner for more.", "amount")
