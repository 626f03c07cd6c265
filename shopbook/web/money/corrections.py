"""Corrections: a payment moved to another invoice, an unpaid share written off."""

from flask import url_for

from shopbook.queries.money.invoices import get_invoice, payer_standings
from shopbook.queries.money.owed import list_owed
from shopbook.queries.money.payments import allocated_by_invoice, free_of, get_payment
from shopbook.services.money.allocations import move_allocation
from shopbook.services.money.payments import write_off as give_up
from shopbook.web.money.blueprint import blueprint
from shopbook.web.money.invoice_forms import MoveForm, ReasonForm
from shopbook.web.money.invoice_view import KINDS, paper_of
from shopbook.web.parts import Act, Answer, Done, act_by_form, choices, money, needs, reader
from shopbook.web.parts.rows import Invoice


@blueprint.route("/payments/<int:payment_id>/move", methods=["GET", "POST"])
@needs("money", "change")
def move(payment_id: int) -> Answer:
    payment, form = get_payment(reader(), payment_id), _move_form(payment_id)

    def doing(act: Act) -> Done:
        move_allocation(
            act,
            payment_id,
            from_invoice_id=int(form.source.data) if form.source.data else None,
            to_invoice_id=int(form.target.data) if form.target.data else None,
            amount_minor=form.amount.data or 0,
            reason=form.reason.data or "",
        )
        return Done(url_for("money.payment", payment_id=payment_id), "Payment moved.")

    return act_by_form(form, "money/move.html", doing, payment=payment)


def _move_form(payment_id: int) -> MoveForm:
    """The form with where the money stands now and where it could go."""
    form = MoveForm()
    sources = {"": f"unused credit, {money(free_of(reader(), payment_id))}"}
    for (paper_id, _), amount in allocated_by_invoice(reader(), payment_id).items():
        sources[str(paper_id)] = f"{_paper_words(get_invoice(reader(), paper_id))}, {money(amount)}"
    targets = {"": "unused credit"} | {
        str(line.invoice.id): f"{_paper_words(line.invoice)}, {line.payer}, {money(line.owed_minor)} still to pay"
        for line in list_owed(reader())
    }
    form.source.choices, form.target.choices = choices(sources), choices(targets)
    return form


def _paper_words(paper: Invoice) -> str:
    return f"{KINDS[paper.kind]} {paper.number}"


@blueprint.route("/invoices/<int:invoice_id>/write-off", methods=["GET", "POST"], defaults={"payer_id": 0})
@blueprint.route("/invoices/<int:invoice_id>/write-off/<int:payer_id>", methods=["GET", "POST"])
@needs("money", "change")
def write_off(invoice_id: int, payer_id: int) -> Answer:
    found = get_invoice(reader(), invoice_id)
    form = ReasonForm()
    rows = payer_standings(reader(), [invoice_id])[invoice_id]
    owed = sum(row.owed_minor for row in rows if row.customer_id == (payer_id or None))

    def doing(act: Act) -> Done:
        give_up(act, invoice_id, customer_id=payer_id or None, reason=form.reason.data or "")
        return Done(url_for("money.invoice", invoice_id=invoice_id), "Debt written off. The reason is saved.")

    return act_by_form(form, "money/write_off.html", doing, invoice=found, paper=paper_of(found), owed=owed)
