"""The page on which a payment is taken back, and entered again where it was entered wrong."""

from contextlib import suppress
from functools import partial

from flask import request, url_for
from wtforms import BooleanField, RadioField, StringField
from wtforms.validators import NumberRange, Optional

from shopbook.queries.jobs.jobs import get_job, get_job_by_id
from shopbook.queries.money.payments import get_payment, left_of, list_taken_back
from shopbook.queries.shop.days import find_closed_through
from shopbook.services.money.reversals import Again, reverse_payment
from shopbook.trade.billing.pay_means import MEANS_WORDS, PayMeans
from shopbook.trade.billing.reversals import ENTERED_AGAIN, REVERSAL_WORDS, Reversal, reversals_of
from shopbook.trade.errors import NotFound
from shopbook.trade.settings import SettingName
from shopbook.web.money.blueprint import blueprint, job_url
from shopbook.web.money.drawing import drawn_first
from shopbook.web.money.invoice_forms import REASON
from shopbook.web.money.paper_files import refuse_unkept, with_papers
from shopbook.web.money.payments import refuse_receipt, with_receipt
from shopbook.web.parts import Act, Answer, Cleaned, Done, act_by_form, choices, money, needs, reader, shop_now, today
from shopbook.web.parts.fields import AmountField, DayField, Needed
from shopbook.web.parts.forms import LINE, ActForm, KeyField
from shopbook.web.parts.rows import Payment

JOB_NUMBER = "Enter a job number, for example 1041."


class ReverseForm(ActForm):
    """Why a payment is taken back, and what should have been entered; left as it is, nothing is entered again."""

    kind = RadioField("What happened")
    reason = StringField("Reason", [Needed("Enter what happened, for example: not enough funds."), REASON])
    on = DayField("Date of the reversal", default=today)
    with_fee = BooleanField("Charge the fee")
    amount = AmountField("Amount", [Optional()])
    means = RadioField("Paid by", choices=choices(MEANS_WORDS))
    paid_on = DayField("Paid on", [Optional()])
    job = KeyField("Job", [Optional(), NumberRange(1, 999_999_999, JOB_NUMBER)])
    reference = StringField("Reference", [LINE])


@blueprint.route("/payments/<int:payment_id>/reverse", methods=["GET", "POST"])
@needs("money", "change")
def reverse(payment_id: int) -> Answer:
    found, left = get_payment(reader(), payment_id), left_of(reader(), payment_id)
    before = _as_entered(found, left)
    form = ReverseForm(data={"kind": reversals_of(PayMeans(found.means))[0], **before})
    form.kind.choices = choices({kind: REVERSAL_WORDS[kind] for kind in reversals_of(PayMeans(found.means))})
    refunded = -sum(row.amount_minor for row in list_taken_back(reader(), found) if _is_of_a_refund(row))
    shown: dict[str, object] = {"payment": found, "left": left, "refunded": refunded, "fee": _fee(form, found)}
    shown["is_ours"] = form.kind.data in ENTERED_AGAIN
    doing = partial(_reverse, found=found, form=form, before=before)
    return _with_files(act_by_form(form, "money/reverse.html", drawn_first(doing), **shown), found, form)


def _is_of_a_refund(line: Payment) -> bool:
    """Whether it is a refund, or takes back one that was entered wrong."""
    return line.kind == "refund" or (line.kind == Reversal.TYPED_WRONG and line.amount_minor > 0)


def _reverse(act: Act, *, found: Payment, form: ReverseForm, before: Cleaned) -> Done:
    again = _again(form, before)
    back = reverse_payment(
        act,
        found.id,
        kind=form.kind.data or "",
        reason=form.reason.data or "",
        on=form.on.data,
        again=again,
        with_fee=form.with_fee.data,
    )
    refuse_receipt(act.session, back)
    number = again.job_number if again else before["job"]
    if number:
        refuse_unkept(act.session, get_job(act.session, number).id)
    leads_to = job_url(number) if number else url_for("money.payment", payment_id=back.id)
    said = "reversed and entered again" if again else "reversed, and is to pay again"
    return Done(leads_to, f"Receipt {found.number} is {said}.")


def _fee(form: ReverseForm, payment: Payment) -> int:
    """The fee that may be charged with this reversal, zero for none; its box is ticked when the form is first shown."""
    fee = shop_now().settings[SettingName.RETURNED_CHEQUE_FEE_MINOR] or 0
    is_returned = Reversal.RETURNED_CHEQUE in reversals_of(PayMeans(payment.means)) and payment.job_id is not None
    if request.method != "POST":
        form.with_fee.data = bool(fee)
    form.with_fee.label.text = f"Charge {money(fee)} for the returned {{cheque}}"
    return fee if is_returned else 0


def _as_entered(payment: Payment, left: int) -> Cleaned:
    """What stands in the form for a payment as it was entered; a day in a closed month cannot be used again."""
    closed = find_closed_through(reader())
    return {
        "amount": left,
        "means": payment.means,
        "paid_on": today() if closed and payment.on <= closed else payment.on,
        "job": get_job_by_id(reader(), payment.job_id).number if payment.job_id else None,
        "reference": payment.reference,
    }


def _again(form: ReverseForm, before: Cleaned) -> Again | None:
    """What should have been entered; None where nothing was changed."""
    typed = {name: value for name, value in form.clean().items() if name in before}
    right = {name: value if value not in (None, "") else before[name] for name, value in typed.items()}
    right["reference"] = typed["reference"]
    if right == before or not right["job"]:
        return None
    return Again(right["job"], right["means"], right["paid_on"], right["amount"], right["reference"])


def _with_files(answer: Answer, payment: Payment, form: ReverseForm) -> Answer:
    """The papers of both jobs, where the payment belonged to another."""
    job_ids = {payment.job_id} - {None}
    if request.method == "POST" and form.job.data:
        with suppress(NotFound):  # the form says so beside its field
            job_ids.add(get_job(reader(), form.job.data).id)
    for job_id in sorted(each for each in job_ids if each):
        answer = with_papers(with_receipt(answer, job_id), job_id)
    return answer
