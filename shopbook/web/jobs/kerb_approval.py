"""An approval given at the car: saved with the price in one act, and only for what the page then showed."""

from flask import request

from shopbook.queries.customers import get_customer
from shopbook.services.act import Act
from shopbook.services.money.approvals import agree_quote
from shopbook.trade.agreeing.words import ApprovalMeans, Party
from shopbook.trade.errors import RuleBroken
from shopbook.trade.permissions import Actor
from shopbook.web.jobs.forms import KerbForm
from shopbook.web.parts.approving import approver, means_meant
from shopbook.web.parts.rows import Job, Quote

HERE = "here"
CHANGED = "The price or the panels have changed since. Tell the customer the new total, then save the approval."
OTHER_SUM = "The price was worked out again for what is chosen now. Check it, then press again."
NO_WAY = "Choose how it was approved, or ask for a signature."
HERE_BY = {ApprovalMeans.SIGNED, ApprovalMeans.IN_PERSON}
STRAY = "There is a signature. Press “Save as approved”, or clear it to save the price only."


def approves_here(actor: Actor) -> bool:
    """Whether the press saves the approval on this page; who may save none is led on, and refused there."""
    return request.form.get("then") == HERE and actor.may("money", "change")


def refuse_stray_signature(form: KerbForm) -> None:
    """A signature never goes under with a press that was meant for the price alone. RuleBroken says so."""
    if (form.signature.data or "").strip() and request.form.get("then") != HERE:
        raise RuleBroken(STRAY, "signature")


def refuse_other_sum(shown: str, is_approval: bool, form: KerbForm) -> None:
    """What is kept is what the page showed: panels and sum. RuleBroken when they are others now than when it was made.

    Without script a tap changes the page only at the next answer, and with it an answer may be lost on the way.
    """
    was = request.form.get("shown")
    if was == shown or (was is None and not is_approval):
        return
    if is_approval:
        form.signature.data = ""
        raise RuleBroken(CHANGED, "signature")
    raise RuleBroken(OTHER_SUM)


def keep_approval_here(act: Act, job: Job, quote: Quote, form: KerbForm) -> None:
    """The customer's approval of a whole quick estimate: signed if something was drawn, else as was chosen.

    It is of the customer whom the price is for if that was pressed. RuleBroken when nobody is named, or no way chosen.
    """
    signature = (form.signature.data or "").strip()
    if not signature and form.means.data not in HERE_BY:
        raise RuleBroken(NO_WAY, "means")
    owner = get_customer(act.session, job.customer_id) if job.customer_id else None
    agree_quote(
        act,
        quote.id,
        party=Party.CUSTOMER,
        taken_group_ids=[group.id for group in quote.groups],
        means=ApprovalMeans.SIGNED if signature else means_meant(form.means.data, signature, form.said_by.data),
        said_by=approver(form.whose.data, form.said_by.data, owner.name if owner else ""),
        signature=signature,
    )
