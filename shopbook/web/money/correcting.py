"""An invoice is corrected: what is right is typed, both papers are looked at, then issued in one press."""

from flask import Response as FlaskResponse
from flask import flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from shopbook.documents.head import refuse_paper
from shopbook.documents.invoice import InvoicePaper, make_invoice_file
from shopbook.queries.money.invoices import get_invoice, list_credits
from shopbook.services.money.complete_papers import refuse_incomplete
from shopbook.services.money.correctable import Correctable, read_correctable
from shopbook.services.money.correction_plans import CorrectionPlan, plan_correction
from shopbook.services.money.corrections import correct_invoice
from shopbook.trade.errors import NotFound, RuleBroken
from shopbook.web.money.blueprint import blueprint
from shopbook.web.money.correction_forms import CorrectForm, correct_form
from shopbook.web.money.drawing import drawn_first
from shopbook.web.money.invoice_view import paper_of, paper_to_be
from shopbook.web.money.kept_papers import send_pdf
from shopbook.web.money.paper_files import with_papers
from shopbook.web.money.payments import with_receipt
from shopbook.web.parts import Act, Answer, Done, act_by_form, act_by_press, needs, now, reader, today
from shopbook.web.parts.act import Doing


@blueprint.route("/invoices/<int:invoice_id>/correct", methods=["GET", "POST"])
@needs("money", "change")
def correct(invoice_id: int) -> Answer:
    try:
        first = read_correctable(reader(), invoice_id)
    except RuleBroken as broken:
        return _lead_back(broken, invoice_id)
    form = correct_form(first)
    doing = _issuing(form, invoice_id, form.seen.data or "")
    if request.method == "POST" and request.form.get("step") == "issue" and form.seen.data:
        answer = act_by_form(form, "money/correct.html", drawn_first(doing), **_shown(form, first))
        return with_receipt(with_papers(answer, first.job.id), first.job.id)
    shown = _shown(form, first) if request.method == "POST" else {"first": first, "plan": None}
    return render_template("money/correct.html", form=form, **shown), 422 if form.errors else 200


def _lead_back(broken: RuleBroken, invoice_id: int) -> Response:
    """To the invoice, with the sentence; a second press of a form that went through leads where the first one led."""
    back = url_for("money.invoice", invoice_id=invoice_id)

    def refuse(_: Act) -> Done:
        raise broken

    if request.method == "POST":
        return act_by_press(refuse, back)
    flash(broken.sentence, "late")
    return redirect(back, 303)


def _issuing(form: CorrectForm, invoice_id: int, looked_at: str) -> Doing:
    """What the press does: both papers, whose letters can be printed, or neither."""

    def doing(act: Act) -> Done:
        right, over = form.right(), form.over.data
        made = correct_invoice(act, invoice_id, right, seen=looked_at, approvals=form.said(), over=over)
        note = list_credits(act.session, invoice_id)[-1]
        for paper in (note, made):
            refuse_paper(paper_of(get_invoice(act.session, paper.id)))
        refuse_incomplete(act.session, made, name_field="to", address_field="to_lines")
        said = f"Issued credit note {note.number} and invoice {made.number}."
        return Done(url_for("money.invoice", invoice_id=made.id), said)

    return doing


def _shown(form: CorrectForm, first: Correctable) -> dict[str, object]:
    """What the page shows of what was typed; the form carries from now what is shown."""
    plan = _plan(form, first.invoice.id)
    form.seen.data = plan.seen if plan else ""
    papers = _papers(plan) if plan else ()
    passed = {str(row.payer.customer_id or ""): row for row in plan.passed} if plan else {}
    return {
        "plan": plan,
        "papers": papers,
        "previews": _previews(plan) if plan else {},
        "passed": passed,
        "today": today(),
        "first": first,
    }


def _plan(form: CorrectForm, invoice_id: int) -> CorrectionPlan | None:
    """What would be issued; None where it cannot be, with its sentences in the form."""
    if not form.validate():
        return None
    try:
        return plan_correction(reader(), now(), today(), invoice_id, form.right())
    except RuleBroken as broken:
        form.refuse(broken)
        return None


def _papers(plan: CorrectionPlan) -> list[InvoicePaper]:
    """The credit note, those over deposits where any is credited, and the corrected invoice last."""
    credit, invoice = plan.numbers
    notes = [plan.note, *(cut.note for cut in plan.cuts)]
    papers = [paper_to_be(note, credit + place, today()) for place, note in enumerate(notes)]
    return [*papers, paper_to_be(plan.corrected, invoice, today())]


def _previews(plan: CorrectionPlan) -> dict[str, str]:
    """What each paper's file is called on its press, by its name in the address; in the order of `_papers`."""
    notes = {
        f"deposit-credit-note-{place}": f"credit note of deposit invoice {cut.deposit.number}"
        for place, cut in enumerate(plan.cuts, 1)
    }
    return {"credit-note": "credit note"} | notes | {"invoice": "invoice"}


@blueprint.post("/invoices/<int:invoice_id>/correct/<paper>")
@needs("money", "change")
def correct_pdf(invoice_id: int, paper: str) -> FlaskResponse | tuple[str, int]:
    """The file of one of both papers, to the byte the one that is kept once they are issued."""
    first = read_correctable(reader(), invoice_id)
    form = correct_form(first)
    plan = _plan(form, invoice_id)
    if plan is None:
        return render_template("money/correct.html", form=form, first=first, plan=None), 422
    names = list(_previews(plan))
    if paper not in names:
        raise NotFound("There is no such paper.")
    place = names.index(paper)
    number = plan.numbers[1] if paper == "invoice" else plan.numbers[0] + place
    return send_pdf(make_invoice_file(_papers(plan)[place]), f"{paper}-{number}.pdf")
