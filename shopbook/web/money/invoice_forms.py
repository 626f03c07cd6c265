"""The forms for invoices, payments, deposits, refunds and quick jobs."""

from wtforms import BooleanField, IntegerField, RadioField, SelectField, StringField, TextAreaField
from wtforms.validators import Length, NumberRange, Optional

from shopbook.services.money.paid_at_once import PaidAtOnce
from shopbook.trade.billing.deposits import DepositRule
from shopbook.trade.billing.pay_means import MEANS_WORDS, PayMeans
from shopbook.web.money.forms import LINE_KIND_WORDS
from shopbook.web.parts.act import today
from shopbook.web.parts.approving import ChosenField
from shopbook.web.parts.fields import AmountField, DayField, Needed, said_choices
from shopbook.web.parts.forms import LINE, WORDS, ActForm, TicksField, choices
from shopbook.web.parts.tax_start import TaxStartForm

REASON = Length(max=200, message="At most 200 letters here.")
DEPOSIT_WORDS = {
    "": "As set in Settings",
    DepositRule.TAXED_WHEN_TAKEN: "Taxed now, with a deposit invoice",
    DepositRule.HELD: "Held, and taxed with the invoice",
    DepositRule.SECURITY: "Security deposit, to be returned",
}
LINE_KINDS = {kind: LINE_KIND_WORDS[kind] for kind in ("labour", "part", "materials", "sublet", "fee")}
LATER = "later"
FINISHED = {"today": "today", "on": "on this day"}
PAID_WORDS = {means.value: words for means, words in MEANS_WORDS.items()}


class FirstInvoiceForm(TaxStartForm):
    """What is asked before the first invoice only; hidden once the book has one."""

    last_number = IntegerField(
        "Last invoice number used so far",
        [Optional(), NumberRange(0, 999_999_999, "Enter a number, for example 1041.")],
    )
    number_prefix = StringField("Prefix of invoice numbers", [LINE])
    pay_to = TextAreaField("Bank account", [WORDS])
    tax_number = StringField("Your tax number", [LINE])
    address = TextAreaField("Your address", [WORDS])
    is_confirmed = BooleanField("These tax rates are right")
    printed_name = StringField("Name to print", [LINE])
    """Asked only where the paper cannot print the letters of the customer's name."""
    customer_name = StringField("Customer’s name", [LINE])
    customer_address = TextAreaField("Customer’s address", [WORDS])
    """Both are asked only where the country's rule for small papers wants them."""


class IssueForm(FirstInvoiceForm):
    """An invoice is issued: the day on which the work was finished, and what its customer pays with it."""

    finished = RadioField("Is the work finished?", choices=choices(FINISHED), default="today", validate_choice=False)
    """Asked where the job is not marked ready: an invoice is never refused for that."""
    supply_on = DayField("Work finished on", default=today)
    means = RadioField("Paid by", choices=choices({LATER: "Not paid yet"} | PAID_WORDS), default=LATER)
    amount = AmountField("Amount paid", [Optional()])
    reference = StringField("Reference", [LINE])


def paid_at_once(form: IssueForm) -> PaidAtOnce | None:
    """What the customer pays with the press that issues the invoice; None where it is paid later."""
    if form.means.data in (None, LATER):
        return None
    return PaidAtOnce(form.means.data, form.amount.data, form.reference.data or "")


class CreditForm(ActForm):
    """A credit note: all that is left, some lines, or a sum."""

    what = RadioField("Credit", choices=choices({"rest": "all that is left", "lines": "lines", "amount": "an amount"}))
    places = TicksField("Lines")
    amount = AmountField("Amount with tax")
    reason = StringField("Reason", [Needed("Enter a reason. It is printed on the credit note."), REASON])


class PayForm(ActForm):
    """Money comes in."""

    payer = SelectField("From")
    invoice_id = SelectField("For")
    printed_name = StringField("Name to print", [LINE])
    amount = AmountField("Amount", [Needed("Enter the amount, for example 120 or 120.50.")])
    means = RadioField("Paid by", choices=choices(MEANS_WORDS), default=PayMeans.CARD)
    reference = StringField("Reference", [LINE])
    on = DayField("Date", default=today)


class DepositForm(FirstInvoiceForm):
    """Money comes in before the work is done."""

    amount = AmountField("Amount", [Needed("Enter the amount, for example 120 or 120.50.")])
    means = RadioField("Paid by", choices=choices(MEANS_WORDS), default=PayMeans.CARD)
    treatment = SelectField("Treatment", choices=choices(DEPOSIT_WORDS))
    reference = StringField("Reference", [LINE])
    on = DayField("Date", default=today)


class RefundForm(ActForm):
    """Money goes back."""

    amount = AmountField("Amount", [Needed("Enter the amount, for example 120 or 120.50.")])
    means = RadioField("Refund by", choices=choices(MEANS_WORDS), default=PayMeans.CARD)
    reason = StringField("Reason", [Needed("Enter a reason for the refund."), REASON])
    on = DayField("Date", default=today)


class MoveForm(ActForm):
    """Part of a payment is moved to another invoice."""

    source = SelectField("From")
    target = SelectField("To")
    amount = AmountField("Amount", [Needed("Enter the amount to move, for example 120 or 120.50.")])
    reason = StringField("Reason", [Needed("Enter a reason."), REASON])


class WriteOffForm(ActForm):
    """Debt is written off."""

    amount = AmountField("Write off", [Needed("Enter an amount, for example 120 or 120.50.")])
    reason = StringField("Reason", [Needed("Enter a reason. The log keeps it."), REASON])


class LetGoForm(ActForm):
    """The car goes with money still to pay."""

    why = StringField("Reason", [Needed("Enter a reason."), REASON])
    taken_by = StringField("Who takes the car", [LINE])


class PaidNowForm(FirstInvoiceForm):
    """A quick estimate that is done and paid at once: how."""

    paid_by = ChosenField("How was it paid?", "Choose how it was paid.", choices(PAID_WORDS))


class QuickForm(FirstInvoiceForm):
    """A quick job: who, what, one price, how it was paid."""

    who = StringField("Customer", [LINE])
    what = StringField("What was done", [Needed("Enter what was done."), LINE])
    price = AmountField("Price with tax", [Needed("Enter the price, for example 120 or 120.50.")])
    kind = SelectField("Kind of line", choices=said_choices(LINE_KINDS))
    means = RadioField("Paid by", choices=choices(PAID_WORDS | {LATER: "Not paid yet"}), default=PayMeans.CARD)
