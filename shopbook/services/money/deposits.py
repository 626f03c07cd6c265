"""Money taken before the work is done: taxed at once on its own numbered paper, held for the invoice, or a security."""

from collections import defaultdict
from dataclasses import replace
from datetime import date

from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Invoice, Payment
from shopbook.queries.customers import find_whole, name_on_papers
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.money.billable import agreed_work, bill_agreed, billing_day
from shopbook.queries.money.invoices import bill_of, credits_of, find_live_invoice, list_job_invoices
from shopbook.queries.money.payers import recorded_payer
from shopbook.queries.money.payments import total_free_by_job
from shopbook.queries.money.quotes import find_current_quote, priced_quotes
from shopbook.queries.money.words import get_wording
from shopbook.queries.shop.rates import setting_on
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.services.act import Act
from shopbook.services.jobs.line_keys import draw_keys
from shopbook.services.money.allocations import set_against
from shopbook.services.money.frozen import freeze_exempt, freeze_head, freeze_tax
from shopbook.services.money.issuing import PaperDraft, Share, refuse_sample, want_confirmed, write_paper
from shopbook.services.money.paid_at_once import paid_words
from shopbook.services.money.payments import Taken, check_day, put_down
from shopbook.services.money.quotes import refuse_unpaid
from shopbook.services.money.receipts import write_receipt
from shopbook.services.postings import write_log
from shopbook.services.shop.taxes import want_tax
from shopbook.trade.billing import Bill, TaxTotal, deposits
from shopbook.trade.billing.credits import rest_of
from shopbook.trade.billing.deposits import DepositRule
from shopbook.trade.errors import RuleBroken
from shopbook.trade.settings import SettingName

Deposits = list[tuple[Invoice, list[TaxTotal]]]
"""Deposit invoices, each with what of it was not credited, by kind of tax."""

PAYMENT_KINDS = {
    DepositRule.TAXED_WHEN_TAKEN: "deposit",
    DepositRule.HELD: "held",
    DepositRule.SECURITY: "security",
}


def take_deposit(
    act: Act,
    job_id: int,
    *,
    amount_minor: int,
    means: str,
    treatment: str | None = None,
    customer_id: int | None = None,
    on: date | None = None,
    reference: str = "",
) -> Payment:
    """A deposit for a job; without a word the shop's setting decides how it is treated.

    Taxed: a numbered deposit invoice with its tax, paid at once. Held: money kept for the invoice. Security: neither.
    RuleBroken for a sum not above zero or, with what was taken before, over the agreed sum; for work without a
    price; before the shop has set its tax; once the invoice is written; for a day before the job, after today or in a
    closed month.
    """
    job = get_job_by_id(act.session, job_id)
    refuse_sample(job)
    refuse_unpaid(job)
    if job.called_off_at is not None:
        raise RuleBroken("This job is {cancelled} and cannot take a deposit.")
    day = check_day(act, job, on)
    want_tax(act.session, day)
    if find_live_invoice(act.session, job.id) is not None:
        raise RuleBroken("This job is invoiced already. Take the money as a payment.")
    rule = DepositRule(treatment or setting_on(act.session, SettingName.DEPOSIT_TREATMENT, day))
    agreed = find_priced(act.session, job, day)
    taken = deposits.take_deposit(rule, amount_minor, agreed)
    if rule is not DepositRule.SECURITY and amount_minor + _taken_before(act.session, job.id) > agreed.gross_minor:
        raise RuleBroken("All deposits together are more than the approved total. Enter a smaller amount.", "amount")
    payer = recorded_payer(act.session, job, customer_id)
    whose = Taken(payer, job.id, means, day, reference)
    payment = put_down(act, PAYMENT_KINDS[rule], amount_minor, whose)
    if taken.bill is not None:
        paper = _write_invoice(act, job, taken.bill, payment)
        set_against(act, payment, paper.id, payer, amount_minor)
    write_receipt(act, payment)
    words = f"Took a deposit, receipt {payment.number}"
    write_log(act, "take_deposit", "payment", payment.id, words, job_id=job.id)
    return payment


def find_priced(session: Session, job: Job, day: date) -> Bill:
    """What the job comes to: what was agreed, else the newest quote; RuleBroken before there is a price."""
    billing = billing_day(session, day)
    bill = bill_agreed(agreed_work(session, [job.id])[job.id], billing).bill
    if bill.lines:
        return bill
    quote = find_current_quote(session, job.id)
    if quote is None:
        raise RuleBroken("Price the work first, so that the deposit is taxed correctly.", "amount")
    return priced_quotes(session, [quote])[quote.id].at_rates(billing.of_quote(quote).rates).sum().taken


def _taken_before(session: Session, job_id: int) -> int:
    free = total_free_by_job(session, [job_id]).get(job_id, 0)
    return free + sum(row.gross_minor for row in deposit_totals(session, job_id))


def deposit_totals(session: Session, job_id: int) -> list[TaxTotal]:
    """What was taxed on deposits of a job by kind of tax, credit notes against them taken off."""
    return [total for _, totals in standing_deposits(session, job_id) for total in totals]


def standing_deposits(session: Session, job_id: int) -> Deposits:
    """Each deposit invoice of a job with what of it was not credited, by kind of tax."""
    papers = list_job_invoices(session, job_id)
    found = []
    for paper in (one for one in papers if one.kind == "deposit"):
        bill = bill_of(paper)
        already = credits_of(bill, [one for one in papers if one.credits_id == paper.id])
        totals = [rest_of(row, already) for row in bill.taxes]
        if any(total.basis_minor or total.tax_minor for total in totals):
            found.append((paper, totals))
    return found


def deposits_by_payer(deposits: Deposits) -> dict[int | None, int]:
    """What stands of these deposits with tax, by the customer (merged ones as one) who gave it."""
    given: dict[int | None, int] = defaultdict(int)
    for paper, totals in deposits:
        given[paper.payers[0].whose_id if paper.payers else None] += sum(total.gross_minor for total in totals)
    return dict(given)


def _write_invoice(act: Act, job: Job, bill: Bill, payment: Payment) -> Invoice:
    day, payer = payment.on, payment.customer_id
    want_confirmed(billing_day(act.session, day))
    said = get_wording(act.session)
    frozen = freeze_head(act.session, job)
    customer = find_whole(act.session, payer)
    name = name_on_papers(customer) if customer else frozen["to"]
    frozen |= (
        freeze_tax(ShopOn(act.session, day), said)
        | freeze_exempt(job, bill, day, said)
        | {
            "facts": [["Received", said.day(day, with_weekday=True)], ["Job", str(job.number)]],
            "groups": [
                {
                    "title": "Deposit",
                    "below": f"for work on this car: {job.wrong}",
                    "labour": 0,
                    "other": bill.net_minor,
                }
            ],
            "payers": [{"customer_id": payer, "name": name, "words": "paid", "paid": bill.gross_minor}],
            "notes": [
                paid_words(payment, said),
                "This deposit and its tax come off the final invoice.",
            ],
        }
    )
    key = draw_keys(job)
    lines = [replace(line, title="Deposit", key=key) for line in bill.lines]
    share = Share(payer, bill.gross_minor, day, "deposit")
    return write_paper(act, PaperDraft("deposit", job, day, lines, bill.taxes, [share], frozen))
