"""The page on which a refund that was entered wrong is taken back, and entered again."""

from functools import partial

from flask import url_for
from wtforms import RadioField, StringField
from wtforms.validators import Optional

from shopbook.queries.money.payments import get_payment, left_of
from shopbook.queries.shop.days import find_closed_through
from shopbook.services.money.reversed_refunds import RefundAgain
from shopbook.services.money.reversed_refunds import reverse_refund as take_refund_back
from shopbook.trade.billing.pay_means import MEANS_WORDS
from shopbook.web.money.blueprint import blueprint
from shopbook.web.money.invoice_forms import REASON
from shopbook.web.money.payments import refuse_receipt, with_receipt
from shopbook.web.parts import Act, Answer, Cleaned, Done, act_by_form, choices, needs, reader, today
from shopbook.web.parts.fields import AmountField, DayField, Needed
from shopbook.web.parts.forms import ActForm
from shopbook.web.parts.rows import Payment


class ReverseRefundForm(ActForm):
    """What was wrong, and what should have been entered; left as it is, nothing is entered again."""

    reason = StringField("Reason", [Needed("Enter what was wrong, for example: 200 typed for 20."), REASON])
    on = DayField("Date of the reversal", default=today)
    amount = AmountField("Amount", [Optional()])
    means = RadioField("Refund by", choices=choices(MEANS_WORDS))
    paid_on = DayField("Refunded on", [Optional()])


@blueprint.route("/payments/<int:payment_id>/reverse-refund", methods=["GET", "POST"])
@needs("money", "change")
def reverse_refund(payment_id: int) -> Answer:
    found, left = get_payment(reader(), payment_id), -left_of(reader(), payment_id)
    before = _as_entered(found, left)
    form = ReverseRefundForm(data=before)
    is_open = found.kind == "refund" and left > 0
    doing = partial(_reverse, found=found, form=form, before=before)
    answer = act_by_form(form, "money/reverse_refund.html", doing, payment=found, left=left, is_open=is_open)
    return with_receipt(answer, found.job_id)


def _as_entered(refunded: Payment, left: int) -> Cleaned:
    """What stands in the form for a refund as it was entered; a day in a closed month cannot be used again."""
    closed = find_closed_through(reader())
    day = today() if closed and refunded.on <= closed else refunded.on
    return {"amount": left, "means": refunded.means, "paid_on": day}


def _reverse(act: Act, *, found: Payment, form: ReverseRefundForm, before: Cleaned) -> Done:
    right = {name: form.clean()[name] or before[name] for name in before}
    again = None if right == before else RefundAgain(right["amount"], right["means"], right["paid_on"])
    line = take_refund_back(act, found.id, reason=form.reason.data or "", on=form.on.data, again=again)
    refuse_receipt(act.session, line)
    said = "reversed and entered again" if again else "reversed. Its money is unused credit again"
    return Done(url_for("money.payment", payment_id=found.reverses_id), f"Refund {found.number} is {said}.")
