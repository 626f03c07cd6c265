"""A quick job in half a minute: who, what, one price, how it was paid; it ends with a numbered invoice."""

from flask import url_for
from werkzeug.wrappers import Response

from shopbook.documents.faces import refuse_unprintable
from shopbook.documents.head import refuse_paper
from shopbook.queries.money.invoices import get_invoice
from shopbook.services.money.complete_papers import keep_asked_shop, refuse_incomplete
from shopbook.services.money.quick import quick_job
from shopbook.web.money.blueprint import blueprint
from shopbook.web.money.drawing import drawn_first
from shopbook.web.money.first import answer_first, first_notice
from shopbook.web.money.invoice_forms import LATER, QuickForm
from shopbook.web.money.invoice_view import paper_of
from shopbook.web.money.paper_files import with_papers
from shopbook.web.money.payments import with_receipt
from shopbook.web.parts import Act, Answer, Done, act_by_form, needs, reader
from shopbook.web.parts.rows import Invoice


@blueprint.route("/quick", methods=["GET", "POST"])
@needs("money", "change")
def quick() -> Answer:
    form = QuickForm()
    notice = first_notice(form)
    issued: list[int] = []

    def doing(act: Act) -> Done:
        answer_first(act, form, notice)
        made = _issue(act, form)
        issued.append(made.id)
        return Done(url_for("money.invoice", invoice_id=made.id), f"Done. Invoice {made.number} issued.")

    return with_issued(act_by_form(form, "money/quick.html", drawn_first(doing), notice=notice), issued)


def _issue(act: Act, form: QuickForm) -> Invoice:
    """The job done and invoiced, with what a refused paper asked for; RuleBroken beside its field."""
    who = form.who.data or form.customer_name.data or ""
    keep_asked_shop(act, tax_number=form.tax_number.data or "", address=form.address.data or "")
    refuse_unprintable(who, field="who", what="the name")
    made = quick_job(
        act,
        who=who,
        address=form.customer_address.data or "",
        what=form.what.data or "",
        price_minor=form.price.data or 0,
        means="" if form.means.data == LATER else form.means.data,
        kind=form.kind.data,
    )
    refuse_paper(paper_of(get_invoice(act.session, made.id)))
    refuse_incomplete(act.session, made, name_field="who")
    return made


def with_issued(answer: Answer, issued: list[int]) -> Answer:
    """Once it is issued, invoice and receipt are made and kept as things stand at that moment."""
    if issued and isinstance(answer, Response):
        job_id = get_invoice(reader(), issued[-1]).job_id
        return with_receipt(with_papers(answer, job_id), job_id)
    return answer
