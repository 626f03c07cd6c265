"""One payment of one payer over several invoices, of as many jobs: one line of money with one receipt."""

from collections.abc import Mapping
from datetime import date

from shopbook.models.money import Payment
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.money.invoices import PayerStanding, get_invoice, payer_standings
from shopbook.queries.money.words import get_wording
from shopbook.services.act import Act
from shopbook.services.money.allocations import set_against, settle
from shopbook.services.money.payments import Taken, check_day, put_down
from shopbook.services.money.receipts import write_receipt
from shopbook.services.postings import write_log
from shopbook.trade.billing.spreading import left_over
from shopbook.trade.errors import RuleBroken


def take_over_several(
    act: Act,
    customer_id: int,
    *,
    amount_minor: int,
    parts: Mapping[int, int],
    means: str,
    on: date | None = None,
    reference: str = "",
) -> Payment:
    """Take one payment and set it against invoices as `parts` says (invoice to minor units, zeros left out).

    It belongs to the job of the first of them, and what is left over stays as that job's credit. RuleBroken where the
    parts come to more than the payment or to nothing, where one is more than this payer still owes of its invoice, for
    a day before one of the jobs, after today or in a closed month.
    """
    left_over(amount_minor, list(parts.values()))
    paid = {invoice_id: part for invoice_id, part in parts.items() if part}
    shares = _shares(act, customer_id, paid)
    jobs = [get_job_by_id(act.session, get_invoice(act.session, each).job_id) for each in paid]
    jobs = list({job.id: job for job in jobs}.values())
    day = max(check_day(act, job, on) for job in jobs)
    payment = put_down(act, "payment", amount_minor, Taken(customer_id, jobs[0].id, means, day, reference))
    for share in shares:
        set_against(act, payment, share.invoice_id, customer_id, paid[share.invoice_id])
    write_receipt(act, payment)
    words = f"Took a payment over {len(shares)} invoice{'s' if len(shares) != 1 else ''}, receipt {payment.number}"
    for job in jobs:
        write_log(act, "take_payment", "payment", payment.id, words, job_id=job.id)
        settle(act.session, act.moment, job)
    return payment


def _shares(act: Act, customer_id: int, paid: Mapping[int, int]) -> list[PayerStanding]:
    """The payer's share of each invoice, that can take its part."""
    standings, found = payer_standings(act.session, paid), []
    for invoice_id, part in paid.items():
        own = [row for row in standings[invoice_id] if row.customer_id == customer_id]
        owed = sum(max(0, row.owed_minor) for row in own)
        if part > owed:
            number, still = get_invoice(act.session, invoice_id).number, get_wording(act.session).money(owed)
            raise RuleBroken(f"On invoice {number} {still} is still to pay. Enter no more than that.", "rows")
        found.append(own[0])
    return found
