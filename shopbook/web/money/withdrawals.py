"""An approval is withdrawn, and what of the job was begun under it is named."""

from collections.abc import Mapping

from sqlalchemy.orm import Session
from wtforms import StringField

from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.money.job_page import JobPage
from shopbook.queries.money.withdrawals import get_approval
from shopbook.services.money.withdrawals import withdraw_approval as take_back
from shopbook.trade.agreeing.words import Party
from shopbook.trade.floor.readiness import NEEDS_APPROVAL
from shopbook.web.money.blueprint import blueprint, job_url
from shopbook.web.money.invoice_forms import REASON
from shopbook.web.parts import ActForm, Answer, act_by_form, country, day_text, does, job_section, needs, reader
from shopbook.web.parts.fields import Needed
from shopbook.web.parts.rows import Approval, Quote, Stage
from shopbook.web.parts.sections import Where


class WithdrawForm(ActForm):
    """Why an approval is taken back."""

    reason = StringField("Reason", [Needed("Say in a few words why the approval is withdrawn."), REASON])


@blueprint.route("/approvals/<int:approval_id>/withdraw", methods=["GET", "POST"])
@needs("money", "change")
def withdraw_approval(approval_id: int) -> Answer:
    found = get_approval(reader(), approval_id)
    job, form = get_job_by_id(reader(), found.quote.job_id), WithdrawForm()
    keep = does(
        lambda act: take_back(act, approval_id, reason=form.reason.data or ""),
        job_url(job.number),
        "Approval withdrawn.",
    )
    shown = {"job": job, "found": found, "title": approval_title(found.approval, found.quote)}
    return act_by_form(form, "money/withdraw_approval.html", keep, **shown)


def approval_title(approval: Approval, quote: Quote) -> str:
    """What was approved, by whom and when: "Estimate, version 2: customer, Nov 3"."""
    what = quote.groups[0].title if quote.kind == "extra" and quote.groups else f"version {quote.version}"
    by = "customer" if approval.party == Party.CUSTOMER else "payer"
    return f"{'Extra' if quote.kind == 'extra' else country().say('{Estimate}')}, {what}: {by}, {day_text(approval.on)}"


@job_section("money/_withdrawals.html", Where.SIDE, order=11)
def withdrawals_section(session: Session, page: JobPage) -> Mapping[str, object] | None:
    """The approvals of a job that can be withdrawn, those that were, and stages begun under none."""
    job, approvals = page.job, page.accounts.approvals
    quotes = {quote.id: quote for quote in approvals.quotes.get(job.id, [])}
    standing = [
        (approval, approval_title(approval, quotes[approval.quote_id])) for approval in approvals.given.get(job.id, [])
    ]
    withdrawn = [
        (row, approval_title(row.approval, quotes[row.approval.quote_id]))
        for row in approvals.withdrawn.get(job.id, [])
    ]
    if not standing and not withdrawn:
        return None
    begun = [stage.name for stage in page.whole.stages if _is_begun_unapproved(stage)] if withdrawn else []
    return {"standing": list(reversed(standing)), "withdrawn": withdrawn, "begun": begun, "job": job}


def _is_begun_unapproved(stage: Stage) -> bool:
    return stage.begun_at is not None and stage.agreed_at is None and stage.purpose in NEEDS_APPROVAL
