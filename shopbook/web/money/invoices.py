"""Invoices: the list, one on the screen and as a file, the preview, issuing it, crediting it."""

from flask import Response as FlaskResponse
from flask import render_template, request, url_for

from shopbook.documents.head import refuse_paper
from shopbook.documents.invoice import InvoicePaper
from shopbook.documents.slip import make_slip_file
from shopbook.queries.customers import get_customer
from shopbook.queries.jobs.jobs import get_job, get_job_by_id
from shopbook.queries.money.billable import agreed_work, billing_of
from shopbook.queries.money.invoices import (
    PayerStanding,
    get_invoice,
    issued_line,
    list_corrections,
    list_credits,
    list_invoice_approvals,
    payer_standings,
)
from shopbook.queries.money.issued import issued_of
from shopbook.queries.money.payers import payer_names, payers_of
from shopbook.queries.money.payments import list_invoice_payments
from shopbook.queries.money.split import split_not_issued
from shopbook.services.customers import keep_printed_name
from shopbook.services.money.complete_papers import refuse_incomplete
from shopbook.services.money.credits import credit_invoice
from shopbook.services.money.drafts import draft_of
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.issuing import supply_day
from shopbook.trade.agreeing.words import MEANS_WORDS
from shopbook.trade.errors import Conflict, NotFound, RuleBroken
from shopbook.web.money.blueprint import blueprint
from shopbook.web.money.drawing import drawn_first
from shopbook.web.money.first import answer_first, first_notice, keep_asked
from shopbook.web.money.invoice_forms import LATER, CreditForm, IssueForm, paid_at_once
from shopbook.web.money.invoice_view import KINDS, paper_of, paper_of_draft, request_of
from shopbook.web.money.kept_papers import send_pdf
from shopbook.web.money.paper_files import keep_invoice_file, with_papers
from shopbook.web.money.payments import with_receipt
from shopbook.web.parts import Act, Answer, Done, act_by_form, choices, money, needs, now, reader, shop_now
from shopbook.web.parts.rows import InvoiceLine


@blueprint.get("/invoices/<int:invoice_id>")
@needs("money", "see")
def invoice(invoice_id: int) -> str:
    found = get_invoice(reader(), invoice_id)
    standings = payer_standings(reader(), [invoice_id])[invoice_id] if found.kind != "credit" else []
    paper = paper_of(found)
    return render_template(
        "money/invoice.html",
        invoice=found,
        paper=paper,
        names=_names(standings, paper),
        corrected=list_corrections(reader(), invoice_id),
        corrects=get_invoice(reader(), found.corrects_id) if found.corrects_id else None,
        approvals=list_invoice_approvals(reader(), invoice_id),
        approval_means=MEANS_WORDS,
        job=get_job_by_id(reader(), found.job_id),
        standings=standings,
        credits=list_credits(reader(), invoice_id),
        credited=get_invoice(reader(), found.credits_id) if found.credits_id else None,
        payments=list_invoice_payments(reader(), invoice_id),
    )


def _names(standings: list[PayerStanding], paper: InvoicePaper) -> dict[int | None, str]:
    """Each payer as printed; one that something was charged to later as the book calls it."""
    printed = {row.customer_id: named.name for row, named in zip(standings, paper.payers, strict=False)}
    later = [row.customer_id for row in standings if row.customer_id is not None and row.customer_id not in printed]
    called = payer_names(reader(), later)
    return printed | {key: called[key] for key in later}


@blueprint.get("/jobs/<int:number>/invoice")
@needs("money", "see")
def invoice_preview(number: int) -> Answer:
    return _so_far(number)


@blueprint.post("/jobs/<int:number>/invoice")
@needs("money", "change")
def issue(number: int) -> Answer:
    job_id = get_job(reader(), number).id
    answer = with_papers(_so_far(number), job_id)
    return answer if request.form.get("means") == LATER else with_receipt(answer, job_id)


def _so_far(number: int) -> Answer:
    job = get_job(reader(), number)
    today = shop_now().day
    # Of a job that is not marked ready nobody has said when it was finished: the form asks.
    form = IssueForm(data={"supply_on": supply_day(reader(), now(), job, None) if job.ready_at else None})
    notice = first_notice(form)
    if job.ready_at is not None:
        del form.finished

    def doing(act: Act) -> Done:
        _refuse_day_left_open(form)
        answer_first(act, form, notice)
        job_id, paid = get_job(act.session, number).id, paid_at_once(form)
        keep_asked(act, form, get_job(act.session, number))
        keep_printed_name(act, job.customer_id, form.printed_name.data or "")
        made = issue_invoice(act, job_id, supply_on=form.supply_on.data, paid=paid)
        refuse_paper(paper_of(get_invoice(act.session, made.id)))
        refuse_incomplete(act.session, made)
        return Done(
            url_for("money.invoice", invoice_id=made.id),
            f"{KINDS[made.kind]} {made.number} issued.",
        )

    day = form.supply_on.data or today
    billing = billing_of(shop_now().on(day))
    work = agreed_work(reader(), [job.id])[job.id]
    paper, trouble = None, ""
    split = None
    issued = issued_of(reader(), [job.id])[job.id]
    try:
        split = split_not_issued(reader(), work, issued, payers_of(reader(), job), billing)
        paper = paper_of_draft(draft_of(shop_now(), job, day, (work, issued, split)))
    except RuleBroken as broken:
        trouble = broken.sentence
    except Conflict:
        paper = None  # all of it is on the invoices that the page names
    return act_by_form(
        form,
        "money/invoice_preview.html",
        drawn_first(doing),
        job=job,
        paper=paper,
        trouble=trouble,
        held=split.billable.held if split else (),
        split_held=split.held if split else (),
        not_agreed=work.not_agreed,
        notice=notice,
        written=issued.papers,
        lacks_keys=issued.lacks_keys,
    )


def _refuse_day_left_open(form: IssueForm) -> None:
    """RuleBroken where the work was finished on another day that was not entered; a day that was entered counts."""
    if "finished" in form and form.finished.data == "on" and form.supply_on.data is None:
        raise RuleBroken("Enter the day the work was finished.", "supply_on")


@blueprint.get("/invoices/<int:invoice_id>/pdf")
@needs("money", "see")
def invoice_pdf(invoice_id: int) -> FlaskResponse:
    return send_pdf(*keep_invoice_file(invoice_id))


@blueprint.get("/invoices/<int:invoice_id>/request/<int:payer_id>")
@needs("money", "see")
def request_pdf(invoice_id: int, payer_id: int) -> FlaskResponse:
    """What a payer other than the customer is sent; made anew each time, since it says what is paid so far."""
    found = get_invoice(reader(), invoice_id)
    names = paper_of(found).payers
    rows = payer_standings(reader(), [invoice_id])[invoice_id]
    for row, named in zip(rows, names, strict=False):
        if row.customer_id == payer_id:
            lines = get_customer(reader(), payer_id).address.splitlines()
            paper = request_of(found, row, named.name, lines)
            return send_pdf(make_slip_file(paper), f"request-to-pay-{found.number}.pdf")
    raise NotFound("That payer pays no share of this invoice.")


@blueprint.route("/invoices/<int:invoice_id>/credit", methods=["GET", "POST"])
@needs("money", "change")
def credit(invoice_id: int) -> Answer:
    found = get_invoice(reader(), invoice_id)
    form = CreditForm(data={"what": "rest"})
    lines = {str(place): line for place, line in enumerate(found.lines) if line.net_minor > 0}
    form.places.choices = choices({place: _line_words(line) for place, line in lines.items()})

    def doing(act: Act) -> Done:
        places, amount = _chosen(form)
        note = credit_invoice(act, invoice_id, reason=form.reason.data or "", places=places, amount_minor=amount)
        refuse_paper(paper_of(get_invoice(act.session, note.id)))
        return Done(url_for("money.invoice", invoice_id=note.id), "Credited. What was already paid is now credit.")

    answer = act_by_form(
        form, "money/credit.html", drawn_first(doing), invoice=found, kind=KINDS[found.kind], lines=lines
    )
    return with_papers(answer, found.job_id)


def _line_words(line: InvoiceLine) -> str:
    return f"{issued_line(line).titled}, {money(line.net_minor)}"


def _chosen(form: CreditForm) -> tuple[list[int], int | None]:
    """Places of lines, or a sum; neither for all that is left. RuleBroken when the chosen way has nothing entered."""
    if form.what.data == "lines" and not form.places.data:
        raise RuleBroken("Tick at least one line to credit.", "places")
    if form.what.data == "amount" and not form.amount.data:
        raise RuleBroken("Enter an amount above zero, for example 120 or 120.50.", "amount")
    places = [int(place) for place in form.places.data or []] if form.what.data == "lines" else []
    return places, form.amount.data if form.what.data == "amount" else None
