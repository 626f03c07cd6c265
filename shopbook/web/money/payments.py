"""Money in and out: payments, deposits, receipts, refunds, moves; handing over the car."""

from collections.abc import Sequence

from flask import Response as FlaskResponse
from flask import flash, render_template, request, url_for
from sqlalchemy.orm import Session
from werkzeug.wrappers import Response

from shopbook.documents.head import refuse_paper
from shopbook.documents.slip import make_slip_file
from shopbook.queries.customers import get_customer
from shopbook.queries.jobs.jobs import get_job, get_job_by_id
from shopbook.queries.money.invoices import list_job_invoices, numbers_of, payer_standings
from shopbook.queries.money.owed import stands_on
from shopbook.queries.money.payments import (
    allocated_by_invoice,
    free_of,
    get_payment,
    list_job_payments,
    list_payments,
    list_taken_back,
    payable_in_cash,
)
from shopbook.queries.money.receipts import find_receipt
from shopbook.services.customers import keep_printed_name
from shopbook.services.money.complete_papers import refuse_incomplete
from shopbook.services.money.deposits import take_deposit
from shopbook.services.money.hand_over import hand_over as give_keys
from shopbook.services.money.hand_over import let_go as let_car_go
from shopbook.services.money.payments import keep_security, take_payment
from shopbook.services.money.payments import refund as give_back
from shopbook.trade.billing.number_series import Series
from shopbook.trade.billing.pay_means import KIND_WORDS, MEANS_WORDS
from shopbook.trade.errors import NotFound, RuleBroken
from shopbook.web.money.blueprint import blueprint, job_url
from shopbook.web.money.drawing import drawn_first, drawn_or
from shopbook.web.money.first import answer_first, first_notice, keep_asked
from shopbook.web.money.invoice_forms import DepositForm, LetGoForm, PayForm, RefundForm
from shopbook.web.money.invoice_view import KINDS, receipt_of
from shopbook.web.money.kept_papers import keep_paper, send_pdf
from shopbook.web.money.paper_files import refuse_unkept, with_papers
from shopbook.web.parts import Act, Answer, Done, act_by_form, act_by_press, choices, does, needs, reader, shop_now
from shopbook.web.parts.frame import money
from shopbook.web.parts.keys import as_key
from shopbook.web.parts.rows import Invoice, Job, Payment

PAGE = 50
STANDING = 15
"""So many of them stand; the others fold under one line."""


@blueprint.get("/payments")
@needs("money", "see")
def payments() -> str:
    found = list_payments(reader(), request.args.get("before", type=as_key), PAGE + 1)
    before = found[PAGE - 1].id if len(found) > PAGE else None
    return render_template(
        "money/payments.html",
        payments=found[:PAGE],
        standing=STANDING,
        kinds=KIND_WORDS,
        means=MEANS_WORDS,
        before=before,
    )


@blueprint.get("/payments/<int:payment_id>")
@needs("money", "see")
def payment(payment_id: int) -> str:
    found = get_payment(reader(), payment_id)
    kept = find_receipt(reader(), found)
    return render_template(
        "money/payment.html",
        payment=found,
        receipt=receipt_of(found.number, kept) if kept else None,
        payer=get_customer(reader(), found.customer_id) if found.customer_id else None,
        job=get_job_by_id(reader(), found.job_id) if found.job_id else None,
        against=_against(found),
        free=free_of(reader(), found.id) if found.amount_minor > 0 else 0,
        taken=get_payment(reader(), found.reverses_id) if found.reverses_id else None,
        backs=list_taken_back(reader(), found),
        kinds=KIND_WORDS,
        means=MEANS_WORDS,
    )


def _against(found: Payment) -> list[tuple[str, int]]:
    rows = allocated_by_invoice(reader(), found.id).items()
    papers = numbers_of(reader(), [key for (key, _), _ in rows])
    return [(f"{KINDS[papers[key][0]]} {papers[key][1]}, job {papers[key][2]}", amount) for (key, _), amount in rows]


@blueprint.route("/jobs/<int:number>/pay", methods=["GET", "POST"])
@needs("money", "change")
def pay(number: int) -> Answer:
    job = get_job(reader(), number)
    form, shown = _pay_form(job)

    def doing(act: Act) -> Done:
        payer = as_key(form.payer.data) if form.payer.data else job.customer_id
        keep_printed_name(act, payer, form.printed_name.data or "")
        taken = _take_payment(act, get_job(act.session, number).id, form)
        refuse_receipt(act.session, taken)
        return Done(job_url(number), f"Saved. Receipt {taken.number}.")

    return with_receipt(act_by_form(form, "money/pay.html", drawn_first(doing), job=job, **shown), job.id)


def _take_payment(act: Act, job_id: int, form: PayForm) -> Payment:
    return take_payment(
        act,
        job_id=job_id,
        amount_minor=form.amount.data or 0,
        means=form.means.data,
        customer_id=int(form.payer.data) if form.payer.data else None,
        invoice_id=int(form.invoice_id.data) if form.invoice_id.data else None,
        reference=form.reference.data or "",
        on=form.on.data,
    )


def _pay_form(job: Job) -> tuple[PayForm, dict[str, object]]:
    """The form, filled in with what the payer still owes, and what the page shows beside it."""
    papers = _papers_to_pay(job)
    owed = _owed_by_payer(papers)
    owing = [key for key, amount in owed.items() if amount]
    payer = request.values.get("payer") or next(iter(owing), "")
    names = {key: f"{_payer_name(key, job)}, {money(amount)}" for key, amount in owed.items()}
    form = PayForm(data={"payer": payer, "amount": owed.get(payer) or None})
    form.payer.choices = choices(names)
    titles = {str(paper.id): f"{KINDS[paper.kind]} {paper.number}" for paper in papers}
    form.invoice_id.choices = choices({"": "oldest first", **titles})
    in_cash = payable_in_cash(shop_now(), owed.get(payer, 0))
    others = {key: name for key, name in names.items() if key in owing and key != payer}
    return form, {"in_cash": in_cash, "papers": papers, "others": others}


def _papers_to_pay(job: Job) -> list[Invoice]:
    return [paper for paper in list_job_invoices(reader(), job.id) if paper.kind != "credit"]


def _owed_by_payer(papers: Sequence[Invoice]) -> dict[str, int]:
    """What each payer still owes of these papers, by its id as text, "" for the customer."""
    owed: dict[str, int] = {}
    for rows in payer_standings(reader(), [paper.id for paper in papers]).values():
        for row in rows:
            owed[str(row.whose_id or "")] = owed.get(str(row.whose_id or ""), 0) + max(0, row.owed_minor)
    return owed


def with_receipt(answer: Answer, job_id: int | None) -> Answer:
    """Once money was taken or given back, its receipt is made and kept as things stand at that moment.

    One press may write two: a payment that was entered wrong is taken back and entered again.
    """
    if isinstance(answer, Response) and job_id is not None:
        taken = [row for row in list_job_payments(reader(), job_id) if row.series == Series.RECEIPT]
        try:
            for row in taken[-2:]:
                keep_receipt(row.id)
        except RuleBroken as broken:
            flash(f"The payment is saved, but the receipt is not. {broken.sentence}", "late")
    return answer


def _payer_name(key: str, job: Job) -> str:
    if not key:
        return "the customer"
    payer = job.customer if job.customer and str(job.customer.id) == key else get_customer(reader(), int(key))
    return payer.called


@blueprint.route("/jobs/<int:number>/deposit", methods=["GET", "POST"])
@needs("money", "change")
def deposit(number: int) -> Answer:
    job = get_job(reader(), number)
    form = DepositForm()
    notice = first_notice(form, before="deposit")

    def doing(act: Act) -> Done:
        answer_first(act, form, notice)
        keep_asked(act, form, get_job(act.session, number))
        keep_printed_name(act, job.customer_id, form.printed_name.data or "")
        taken = _take_deposit(act, get_job(act.session, number).id, form)
        refuse_receipt(act.session, taken)
        refuse_unkept(act.session, job.id)
        for paper in list_job_invoices(act.session, job.id)[-1:]:
            refuse_incomplete(act.session, paper)
        return Done(job_url(number), f"Saved. Receipt {taken.number}.")

    shown = {"job": job, "stands": stands_on(shop_now(), [job.id])[job.id], "notice": notice}
    return with_papers(
        with_receipt(act_by_form(form, "money/deposit.html", drawn_first(doing), **shown), job.id), job.id
    )


def _take_deposit(act: Act, job_id: int, form: DepositForm) -> Payment:
    return take_deposit(
        act,
        job_id,
        amount_minor=form.amount.data or 0,
        means=form.means.data,
        treatment=form.treatment.data or None,
        reference=form.reference.data or "",
        on=form.on.data,
    )


@blueprint.get("/payments/<int:payment_id>/pdf")
@needs("money", "see")
def receipt_pdf(payment_id: int) -> FlaskResponse:
    return send_pdf(*keep_receipt(payment_id))


def refuse_receipt(session: Session, payment: Payment) -> None:
    """RuleBroken, before anything is saved, for a receipt with letters that cannot be printed."""
    kept = find_receipt(session, payment)
    if kept is not None:
        refuse_paper(receipt_of(payment.number, kept))


def keep_receipt(payment_id: int) -> tuple[bytes, str]:
    """The kept file of a receipt and its name."""
    found = get_payment(reader(), payment_id)
    kept = find_receipt(reader(), found)
    if kept is None:
        raise NotFound("This payment has no receipt.")
    paper = receipt_of(found.number, kept)
    name = f"receipt-{found.number}.pdf"
    return keep_paper(
        "receipt", "payment", found.id, name, lambda: drawn_or(paper, lambda: make_slip_file(paper))
    ), name


@blueprint.route("/payments/<int:payment_id>/refund", methods=["GET", "POST"])
@needs("money", "change")
def refund(payment_id: int) -> Answer:
    found = get_payment(reader(), payment_id)
    free = free_of(reader(), payment_id)
    form = RefundForm(data={"amount": free or None, "means": found.means})

    def doing(act: Act) -> Done:
        back = give_back(
            act,
            payment_id,
            amount_minor=form.amount.data or 0,
            means=form.means.data,
            reason=form.reason.data or "",
            on=form.on.data,
        )
        refuse_receipt(act.session, back)
        return Done(url_for("money.payment", payment_id=back.id), "Refund saved.")

    shown = {"payment": found, "free": free, "means": MEANS_WORDS}
    return with_receipt(act_by_form(form, "money/refund.html", drawn_first(doing), **shown), found.job_id)


@blueprint.post("/payments/<int:payment_id>/keep")
@needs("money", "change")
def keep(payment_id: int) -> Answer:
    def doing(act: Act) -> Done:
        kept = keep_security(act, payment_id)
        refuse_receipt(act.session, kept)
        return Done(url_for("money.payment", payment_id=kept.id), "The security deposit is now a payment.")

    answer = act_by_press(drawn_first(doing), url_for("money.payment", payment_id=payment_id))
    return with_receipt(answer, get_payment(reader(), payment_id).job_id)


@blueprint.post("/jobs/<int:number>/hand-over")
@needs("money", "change")
def hand_over(number: int) -> Response:
    taken_by = request.form.get("taken_by", "")
    doing = does(lambda act: give_keys(act, get_job(act.session, number).id, taken_by), job_url(number), "Handed over.")
    return act_by_press(doing, job_url(number))


@blueprint.route("/jobs/<int:number>/let-go", methods=["GET", "POST"])
@needs("money", "let_go")
def let_go(number: int) -> Answer:
    job = get_job(reader(), number)
    form = LetGoForm()

    def doing(act: Act) -> Done:
        let_car_go(act, get_job(act.session, number).id, form.why.data or "", form.taken_by.data or "")
        return Done(job_url(number), "Released unpaid. The reason is in the log.")

    stands = stands_on(shop_now(), [job.id])[job.id]
    return act_by_form(form, "money/let_go.html", doing, job=job, stands=stands)
