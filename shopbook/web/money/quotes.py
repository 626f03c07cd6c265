"""A quote on the screen and as a file: shown, drafted, given, shared, withdrawn, lost."""

from collections.abc import Sequence

from flask import Response as FlaskResponse
from flask import flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from shopbook.documents.quote import make_quote_file
from shopbook.outside.files import keep_bytes, read_kept
from shopbook.queries.jobs.jobs import get_job, get_job_by_id
from shopbook.queries.money.issued import issued_of
from shopbook.queries.money.quotes import get_quote
from shopbook.queries.money.whose import NamedSum, risks_among
from shopbook.queries.shop.book import get_paper
from shopbook.services.act import Act
from shopbook.services.money.approvals import ask_again
from shopbook.services.money.quotes import (
    NewPaper,
    draft_quote,
    give_quote,
    lose_quote,
    refuse_unpriced,
    withdraw_quote,
)
from shopbook.trade.agreeing.words import ASKED_WORDS, LOST_WORDS
from shopbook.trade.errors import RuleBroken
from shopbook.web.money.blueprint import blueprint, job_url, shop_config, tax_url
from shopbook.web.money.quote_known import Known, read_quote
from shopbook.web.money.quote_view import quote_paper, said_money
from shopbook.web.parts.act import Done, act_by_press, does, reader
from shopbook.web.parts.frame import is_before_tax
from shopbook.web.parts.guards import needs
from shopbook.web.parts.sending import send_to


@blueprint.get("/quotes/<int:quote_id>")
@needs("money", "see")
def quote(quote_id: int) -> str:
    known = read_quote(reader(), quote_id)
    return render_template(
        "money/quote.html",
        known=known,
        quote=known.quote,
        job=known.job,
        paper=quote_paper(known),
        versions=known.quotes,
        risks=_risks(known),
        lost_words=LOST_WORDS,
        job_url=job_url(known.job.number),
    )


def _risks(known: Known) -> Sequence[NamedSum]:
    """What of the job is at the shop's risk, payer by payer."""
    job_id = known.job.id
    if not known.has_other_payer:
        return ()
    issued = issued_of(reader(), [job_id])
    return risks_among(reader(), [job_id], {job_id: known.named}, {job_id: known.agreed}, issued).get(job_id, ())


@blueprint.post("/jobs/<int:number>/quote")
@needs("money", "change")
def draft(number: int) -> Response:
    def doing(act: Act) -> Done:
        made = draft_quote(act, get_job(act.session, number).id)
        return Done(quote_url(made.id), "Drafted from the plan. Look it over, then give it.")

    return act_by_press(doing, job_url(number))


@blueprint.post("/quotes/<int:quote_id>/give")
@needs("money", "change")
def give(quote_id: int) -> Response:
    """The paper is made and kept before the transaction: it says what the quote says at this revision."""
    if is_before_tax():
        return redirect(tax_url(quote_url(quote_id)), 303)
    try:
        known = read_quote(reader(), quote_id, as_given=True)
        refuse_unpriced(known.quote)
        paper, revision = _keep_paper(known), known.quote.revision
    except RuleBroken as broken:
        flash(broken.sentence, "late")
        return redirect(_where_to_mend(quote_id, broken), 303)

    def doing(act: Act) -> Done:
        give_quote(act, quote_id, revision=revision, paper=paper)
        return Done(url_for("money.share", quote_id=quote_id), "Given, and its paper kept. Send it, then say so here.")

    return act_by_press(doing, quote_url(quote_id))


def _where_to_mend(quote_id: int, broken: RuleBroken) -> str:
    """The customer's page for a name that the paper cannot print, which leads back here; else the quote's own."""
    customer_id = get_job_by_id(reader(), get_quote(reader(), quote_id).job_id).customer_id
    if broken.field == "printed_name" and customer_id:
        return url_for("customers.change", customer_id=customer_id, then=quote_url(quote_id))
    return quote_url(quote_id)


def _keep_paper(known: Known) -> NewPaper:
    body = make_quote_file(quote_paper(known, for_print=True))
    kept = keep_bytes(shop_config().papers_folder, body)
    return NewPaper(kept.sha256, kept.size_bytes, file_name(known), known.given.to_json())


def file_name(known: Known) -> str:
    """What the file is called where it is saved: quote-1042-2.pdf."""
    return f"{'extra' if known.quote.kind == 'extra' else 'quote'}-{known.job.number}-{known.quote.version}.pdf"


@blueprint.get("/quotes/<int:quote_id>/pdf")
@needs("money", "see")
def quote_pdf(quote_id: int) -> FlaskResponse:
    """The kept file of a given quote; else one made now, marked as a draft while it is one."""
    known = read_quote(reader(), quote_id)
    if known.quote.paper_id is not None:
        body = read_kept(shop_config().papers_folder, get_paper(reader(), known.quote.paper_id).sha256)
    else:
        body = make_quote_file(quote_paper(known, for_print=True))
    answer = FlaskResponse(body, mimetype="application/pdf")
    answer.headers["Content-Disposition"] = f'inline; filename="{file_name(known)}"'
    return answer


@blueprint.get("/quotes/<int:quote_id>/share")
@needs("money", "see")
def share(quote_id: int) -> str:
    known = read_quote(reader(), quote_id)
    its = send_to(known.job.customer, f"quote {known.job.number}", ready_text(known))
    return render_template(
        "money/share.html", known=known, quote=known.quote, job=known.job, its=its, asked_words=ASKED_WORDS
    )


def ready_text(known: Known) -> str:
    """The quote as a message: parts with their prices, the sum with tax, until when it holds, how to say yes."""
    words, total = known.words, known.sum.taken
    rows = [
        f"{place}. {group.title}: {said_money(known, group.sum_minor)}" for place, group in enumerate(known.groups, 1)
    ]
    rows += [f"{line.words}: {said_money(known, line.amount_minor)}" for line in total.savings]
    until = f" It holds until {words.valid_until}." if words.valid_until else ""
    how = "Answer yes" if len(known.groups) == 1 else "Answer with the numbers that we shall do"
    ask = f"{how}, or ask us anything." if known.taken is None else "This is what you said yes to."
    tax = f" ({said_money(known, total.net_minor)} before {words.head['tax_word']})" if total.tax_minor else ""
    head = f"{words.head['shop']}, quote {words.head['job']} for {words.plate or 'your car'}:"
    gross = said_money(known, total.gross_minor)
    said = f"plus {words.head['tax_word']}" if total.is_before_tax else f"tax included{tax}"
    who = [f"{name}: {said_money(known, minor)}" for name, minor in known.payers]
    return "\n".join([head, *rows, f"Total {gross}, {said}.{until}", *who, ask])


@blueprint.post("/quotes/<int:quote_id>/ask/<party>")
@needs("money", "change")
def ask(quote_id: int, party: str) -> Response:
    how = request.form.get("how", "")

    def doing(act: Act) -> Done:
        asked = ask_again(act, quote_id, "payer" if party == "payer" else "customer", how)
        return Done(job_url(get_job_by_id(act.session, asked.job_id).number), "Saved. It waits for an answer now.")

    return act_by_press(doing, quote_url(quote_id))


@blueprint.post("/quotes/<int:quote_id>/withdraw")
@needs("money", "change")
def withdraw(quote_id: int) -> Response:
    job_number: int = read_quote(reader(), quote_id).job.number
    doing = does(lambda act: withdraw_quote(act, quote_id), job_url(job_number), "Withdrawn. It stays in the book.")
    return act_by_press(doing, quote_url(quote_id))


@blueprint.post("/quotes/<int:quote_id>/lose")
@needs("money", "change")
def lose(quote_id: int) -> Response:
    why = request.form.get("why", "")
    doing = does(
        lambda act: lose_quote(act, quote_id, why), lambda job: job_url(job.number), "Called off, with the reason kept."
    )
    return act_by_press(doing, quote_url(quote_id))


def quote_url(quote_id: int) -> str:
    """The quote's own page."""
    return url_for("money.quote", quote_id=quote_id)
