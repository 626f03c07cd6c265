"""A job is invoiced from what was agreed and done; what is approved later comes on a follow-up invoice."""

from datetime import date

from shopbook.models.money import Invoice, Payment
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.money.billable import BillingDay, agreed_work, billing_day
from shopbook.queries.money.issued import issued_of
from shopbook.queries.money.payers import payers_by_job
from shopbook.queries.money.split import split_not_issued
from shopbook.queries.money.words import get_wording
from shopbook.services.act import Act
from shopbook.services.money.allocations import settle, use_what_is_free
from shopbook.services.money.credits import credit_invoice
from shopbook.services.money.deposits import standing_deposits
from shopbook.services.money.drafts import draft_invoice, final_bill
from shopbook.services.money.issuing import PaperDraft, refuse_sample, supply_day, want_confirmed, write_paper
from shopbook.services.money.paid_at_once import PaidAtOnce, owed_of_draft, rounded_off, with_payment
from shopbook.services.money.payments import Taken, put_down, use_payment
from shopbook.services.money.quotes import refuse_unpaid
from shopbook.services.postings import write_log
from shopbook.trade.errors import RuleBroken


def issue_invoice(
    act: Act,
    job_id: int,
    *,
    supply_on: date | None = None,
    paid: PaidAtOnce | None = None,
) -> Invoice:
    """The invoice of a job: agreed work at the tax of the day of supply, deposits taken off, shared between payers.

    If one is issued already, a follow-up holds only what it does not: all of them never pass what was agreed and
    the shop's allowance, no payer passes what it approved, and a deposit, an excess or a fixed sum counts once. Money
    held for the job is set against it. What the customer has `paid` with this very press gets its receipt and stands
    on the paper: how, how much, when, and what is left. Conflict when nothing is left to invoice; RuleBroken before a
    yes, with rates of tax nobody confirmed, on a day that cannot be, or where payers' rules or deposits do not fit.
    """
    job = get_job_by_id(act.session, job_id)
    refuse_sample(job)
    if job.called_off_at is not None:
        raise RuleBroken("This job is {cancelled}. Reopen it first.")
    refuse_unpaid(job)
    day = supply_day(act.session, act.moment, job, supply_on)
    billing = billing_day(act.session, day)
    want_confirmed(billing)
    _credit_too_much(act, job.id, billing)
    draft, payment = draft_invoice(act.session, act.moment, job, day, billing), None
    if paid is not None:
        payment = _take(act, draft, paid)
        rounded = rounded_off(act.session, payment, owed_of_draft(draft, payment.customer_id))
        draft = with_payment(draft, payment, rounded, get_wording(act.session))
    invoice = write_paper(act, draft)
    use_what_is_free(act, job.id, besides=payment)
    if payment is not None:
        use_payment(act, job, payment, invoice_id=invoice.id)
    write_log(act, "issue_invoice", "invoice", invoice.id, f"Issued invoice {invoice.number}", job_id=job.id)
    settle(act.session, act.moment, job)
    return invoice


def _take(act: Act, draft: PaperDraft, paid: PaidAtOnce) -> Payment:
    """The money that comes with the paper, put down before it, so that the paper can name its receipt."""
    payer = draft.job.customer_id
    owed = owed_of_draft(draft, payer)
    if owed <= 0:
        raise RuleBroken("The customer has nothing to pay on this invoice. Choose “Not paid yet”.", "means")
    taken = Taken(payer, draft.job.id, paid.means, act.day, paid.reference)
    amount = owed if paid.amount_minor is None else paid.amount_minor
    return put_down(act, "payment", amount, taken)


def _credit_too_much(act: Act, job_id: int, billing: BillingDay) -> None:
    """Where deposits were taxed under a kind beyond what the work has under it, credit the difference."""
    work, issued = agreed_work(act.session, [job_id])[job_id], issued_of(act.session, [job_id])[job_id]
    if issued.has_deposit_off:
        return
    payers = payers_by_job(act.session, [job_id])[job_id]
    bill = split_not_issued(act.session, work, issued, payers, billing).billable.bill
    for total in final_bill(bill, standing_deposits(act.session, job_id)).to_credit:
        left = total.gross_minor
        for paper, rows in reversed(standing_deposits(act.session, job_id)):
            rest = sum(row.gross_minor for row in rows if row.rate.code == total.rate.code)
            if left > 0 and rest > 0:
                reason = "The deposit was more than the final total"
                credit_invoice(act, paper.id, reason=reason, amount_minor=min(left, rest))
                left -= min(left, rest)
