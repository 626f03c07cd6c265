"""A yes given at the kerb: kept with the price in one act, and only for what the page showed when it was said."""

from flask import request

from shopbook.queries.customers import get_customer
from shopbook.services.act import Act
from shopbook.services.money.approvals import agree_quote
from shopbook.trade.agreeing.words import ApprovalMeans, Party
from shopbook.trade.errors import RuleBroken
from shopbook.trade.permissions import Actor
from shopbook.web.jobs.forms import KerbForm
from shopbook.web.parts.rows import Job, Quote

HERE = "here"
CHANGED = "The price or the panels changed after the yes was asked for: read the new sum out, then keep the yes."
OTHER_SUM = "The price below is worked out for what is chosen now. Look at it, then press once more."
STRAY = "Somebody signed here: press “Keep, with yes”, or clear the signature to keep the price alone."


def approves_here(actor: Actor) -> bool:
    """Whether the press keeps the yes on this page; who may keep none is led on, and refused there."""
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
    """The owner's yes to all of a kerb price: signed if something was drawn, else said in person.

    Without a name of its own it is the yes of the customer whom the price is for. RuleBroken when nobody is named.
    """
    signature = (form.signature.data or "").strip()
    owner = get_customer(act.session, job.customer_id) if job.customer_id else None
    agree_quote(
        act,
        quote.id,
        party=Party.CUSTOMER,
        taken_group_ids=[group.id for group in quote.groups],
        means=ApprovalMeans.SIGNED if signature else ApprovalMeans.IN_PERSON,
        said_by=(form.said_by.data or "").strip() or (owner.name if owner else ""),
        signature=signature,
    )
