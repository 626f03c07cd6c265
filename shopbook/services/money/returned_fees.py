"""The fee for a returned cheque, where the owner set one: an invoice of its own, without tax, beside the job's work."""

from shopbook.models.customers import Customer
from shopbook.models.jobs import Job
from shopbook.models.money import Invoice, Payment
from shopbook.queries.customers import name_on_papers
from shopbook.queries.money.payers import due_on
from shopbook.queries.money.words import get_wording
from shopbook.queries.shop.rates import setting_on
from shopbook.services.act import Act
from shopbook.services.jobs.line_keys import draw_keys
from shopbook.services.money.frozen import freeze_head
from shopbook.services.money.issuing import PaperDraft, Share, write_paper
from shopbook.services.postings import write_log
from shopbook.trade.billing import BillLine, LineKind, TaxKind, TaxRate, TaxTotal
from shopbook.trade.errors import RuleBroken
from shopbook.trade.settings import SettingName

NOT_TAXED = TaxRate("not_taxed", "Not taxed", 0, TaxKind.OUTSIDE)
"""Damages for a cheque that was not paid are no price of a supply (our reading: the shop's accountant decides)."""


def charge_fee(act: Act, payment: Payment, job: Job) -> Invoice:
    """Charge the payer of a returned cheque the fee set for today; RuleBroken while the owner set none.

    It is a paper of the kind `fee`: owed, paid and credited like an invoice, but never taken for a bill of the work.
    """
    fee = setting_on(act.session, SettingName.RETURNED_CHEQUE_FEE_MINOR, act.day)
    if not fee:
        raise RuleBroken("Set the fee in Settings first, or leave this empty.", "with_fee")
    said, words = get_wording(act.session), "Returned {cheque} fee"
    customer = act.session.get(Customer, payment.customer_id) if payment.customer_id else None
    due = due_on(act.day, customer, setting_on(act.session, SettingName.PAYMENT_DAYS, act.day))
    line = BillLine(
        LineKind.FEE, said.say(words), fee, NOT_TAXED.code, net_minor=fee, key=draw_keys(job), title=said.say(words)
    )
    frozen = freeze_head(act.session, job)
    below = said.say(f"{{cheque}} of {said.day(payment.on)}, receipt {payment.number}")
    frozen |= {
        "facts": [["Job", str(job.number)]],
        "groups": [{"title": line.title, "below": below, "labour": 0, "other": fee}],
        "payers": [
            {
                "customer_id": payment.customer_id,
                "name": name_on_papers(customer) if customer else frozen["to"],
                "words": f"due {said.day(due)}",
                "paid": 0,
            }
        ],
    }
    share, taxes = Share(payment.customer_id, fee, due), [TaxTotal(NOT_TAXED, fee, 0)]
    paper = write_paper(act, PaperDraft("fee", job, act.day, [line], taxes, [share], frozen))
    write_log(act, "charge_fee", "invoice", paper.id, said.say(f"{words}: invoice {paper.number}"), job_id=job.id)
    return paper
