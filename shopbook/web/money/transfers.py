"""One payment of one payer over several invoices: spread oldest first, shown, changed, then saved."""

from collections.abc import Sequence
from functools import partial

from flask import render_template, request, url_for
from wtforms import FieldList, FormField, RadioField, StringField
from wtforms.validators import Optional
from wtforms.widgets import HiddenInput

from shopbook.queries.customers import get_customer
from shopbook.queries.money.owed import OwedLine, list_owed
from shopbook.services.money.transfers import take_over_several
from shopbook.trade.billing.pay_means import MEANS_WORDS, PayMeans
from shopbook.trade.billing.spreading import left_over, spread_oldest_first
from shopbook.trade.errors import RuleBroken
from shopbook.web.money.blueprint import blueprint
from shopbook.web.money.drawing import drawn_first
from shopbook.web.money.invoice_view import KINDS
from shopbook.web.money.payments import refuse_receipt, with_receipt
from shopbook.web.parts import Act, Answer, Done, act_by_form, choices, money, needs, reader
from shopbook.web.parts.fields import AmountField, DayField, Needed, today
from shopbook.web.parts.forms import LINE, ActForm, KeyField, WordedForm

SAVE = "save"


class SpreadFields(WordedForm):
    """What of the payment goes to one invoice."""

    invoice_id = KeyField(widget=HiddenInput())
    amount = AmountField("Amount", [Optional()])


class SpreadForm(ActForm):
    """One payment and what of it goes to which invoice; `shown` is what the page said would be left over."""

    amount = AmountField("Amount received", [Needed("Enter the amount, for example 120 or 120.50.")])
    means = RadioField("Paid by", choices=choices(MEANS_WORDS), default=PayMeans.TRANSFER)
    reference = StringField("Reference", [LINE])
    on = DayField("Date", default=today)
    rows = FieldList(FormField(SpreadFields), "Invoices", max_entries=200)
    shown = AmountField("Left over", [Optional()], is_signed=True)

    def parts(self) -> dict[int, int]:
        """What was typed, by invoice."""
        return {row.form.invoice_id.data or 0: row.form.amount.data or 0 for row in self.rows}


@blueprint.route("/customers/<int:customer_id>/payment", methods=["GET", "POST"])
@needs("money", "change")
def spread(customer_id: int) -> Answer:
    payer = get_customer(reader(), customer_id)
    lines = [line for line in list_owed(reader()) if line.customer_id == customer_id]
    form = SpreadForm()
    context = {"payer": payer, "lines": {line.invoice.id: line for line in lines}, "kinds": KINDS}
    if request.method == "POST" and request.form.get("step") != SAVE:
        return _spread_again(form, lines, context)

    answer = act_by_form(
        form, "money/spread.html", drawn_first(partial(_save, form=form, customer_id=customer_id)), **context
    )
    for job_id in sorted({line.invoice.job_id for line in lines}):
        answer = with_receipt(answer, job_id)
    return answer


def _save(act: Act, *, form: SpreadForm, customer_id: int) -> Done:
    _refuse_unseen(form)
    taken = take_over_several(
        act,
        customer_id,
        amount_minor=form.amount.data or 0,
        parts=form.parts(),
        means=form.means.data,
        on=form.on.data,
        reference=form.reference.data or "",
    )
    refuse_receipt(act.session, taken)
    return Done(url_for("money.payment", payment_id=taken.id), f"Saved. Receipt {taken.number}.")


def _spread_again(form: SpreadForm, lines: Sequence[OwedLine], context: dict[str, object]) -> Answer:
    """The amount spread over what is open, oldest first, to be looked at and changed; nothing is saved."""
    typed = {name: form[name].data for name in ("amount", "means", "reference")} | {"on": form.on.data or today()}
    if not form.amount.validate(form) or not form.amount.data:
        form.amount.errors = form.amount.errors or ["Enter an amount above zero, for example 120 or 120.50."]
        return render_template("money/spread.html", form=form, **context), 422
    parts = spread_oldest_first(form.amount.data, [line.owed_minor for line in lines])
    rows = [{"invoice_id": line.invoice.id, "amount": part} for line, part in zip(lines, parts, strict=True)]
    shown = form.amount.data - sum(parts)
    fresh = SpreadForm(None, data={**typed, "rows": rows, "shown": shown})
    return render_template("money/spread.html", form=fresh, **context)


def _refuse_unseen(form: SpreadForm) -> None:
    """RuleBroken where what is left over is not what the page said: it is said now, and saved with the next press."""
    rest = left_over(form.amount.data or 0, list(form.parts().values()))
    if rest != (form.shown.data or 0):
        form.shown.raw_data, form.shown.data = [], rest
        if rest:
            raise RuleBroken(f"{money(rest)} would be left over as credit. Save again if that is right.", "amount")
