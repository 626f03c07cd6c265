"""An invoice is corrected: credit note and corrected invoice in one act, the money moves along or goes back."""

from collections.abc import Mapping

from shopbook.models.money import Invoice
from shopbook.services.act import Act
from shopbook.services.money.allocations import set_against, settle, take_difference_back
from shopbook.services.money.corrected_deposits import issue_cuts
from shopbook.services.money.corrected_paper import Right
from shopbook.services.money.correction_plans import CorrectionPlan, Move, plan_correction
from shopbook.services.money.invoice_approvals import ApprovalSaid, keep_approvals
from shopbook.services.money.issuing import write_paper
from shopbook.services.money.payments import refund
from shopbook.services.postings import write_log
from shopbook.trade.errors import Conflict

AS_PAID, AS_CREDIT = "as_paid", "credit"
"""What becomes of money that is over, beside a means of its own: back by the means it came, or kept on account."""


def correct_invoice(
    act: Act,
    invoice_id: int,
    right: Right,
    *,
    seen: str | None = None,
    approvals: Mapping[int | None, ApprovalSaid] | None = None,
    over: str = AS_PAID,
) -> Invoice:
    """Credit all that is left of an invoice and issue the corrected one in the same act; answers the corrected one.

    275.31 paid and corrected to 255.31: 20.00 goes back by the means it came, `over` says otherwise; what is missing
    opens the job again. `seen` is what the plan looked at carries: Conflict where numbers or figures moved meanwhile.
    RuleBroken without a reason, for a payer billed past its approval without a new one, or prices that cannot be.
    """
    plan = plan_correction(act.session, act.moment, act.day, invoice_id, right)
    if seen is not None:
        _refuse_moved(plan, seen)
    note = write_paper(act, plan.note)
    issue_cuts(act, plan.cuts)
    corrected = write_paper(act, plan.corrected)
    keep_approvals(act, corrected, "price", plan.passed, approvals or {})
    for move in plan.moves:
        _move(act, move, plan.first.invoice, corrected)
    for payment, amount in plan.over if over != AS_CREDIT else ():
        means = payment.means if over == AS_PAID else over
        refund(act, payment.id, amount_minor=amount, means=means, reason=plan.note.reason)
    words = f"Corrected invoice {plan.first.invoice.number} by credit note {note.number} and invoice {corrected.number}"
    write_log(act, "correct_invoice", "invoice", corrected.id, words, job_id=plan.first.job.id)
    settle(act.session, act.moment, plan.first.job)
    return corrected


def _refuse_moved(plan: CorrectionPlan, seen: str) -> None:
    if seen == plan.seen:
        return
    credit, invoice = plan.numbers
    if seen.split(".")[:2] != [str(credit), str(invoice)]:
        raise Conflict(
            f"Another paper was issued meanwhile: these would be credit note {credit} and invoice {invoice} now. Look "
            "at both papers again, then issue them."
        )
    raise Conflict("These are not the papers you looked at. Look at both again, then issue them.")


def _move(act: Act, move: Move, first: Invoice, corrected: Invoice) -> None:
    """One payment from the first invoice to the corrected one, as far as that takes it."""
    part = move.part
    if move.was_minor:
        set_against(act, part.payment, first.id, part.customer_id, -move.was_minor)
    if move.kept_minor:
        set_against(act, part.payment, corrected.id, part.customer_id, move.kept_minor)
    if move.over_minor and not part.is_money:
        take_difference_back(act, part.payment, move.over_minor, reason="The invoice was corrected")
