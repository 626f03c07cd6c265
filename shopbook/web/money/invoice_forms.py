"""The forms about invoices, payments, deposits, refunds and quick jobs."""

from wtforms import BooleanField, IntegerField, RadioField, SelectField, StringField, TextAreaField
from wtforms.validators import Length, NumberRange, Optional

from shopbook.services.money.paid_at_once import PaidAtOnce
from shopbook.trade.billing.deposits import DepositRule
from shopbook.trade.billing.pay_means import MEANS_WORDS, PayMeans
from shopbook.web.parts.act import today
from shopbook.web.parts.fields import AmountField, DayField, Needed
from shopbook.web.parts.forms import LINE, WORDS, ActForm, TicksField, choices
from shopbook.web.parts.tax_start import TaxStartForm

REASON = Length(max=200, message="At most 200 letters here.")
DEPOSIT_WORDS = {
    "": "As the shop has set it",
    DepositRule.TAXED_WHEN_TAKEN: "Taxed now, with a deposit invoice of its own",
    DepositRule.HELD: "Held for the invoice, taxed then",
    DepositRule.SECURITY: "A security that is given back",
}
LINE_KINDS = {"labour": "labour", "part": "a part", "materials": "materials", "sublet": "sublet work", "fee": "a fee"}
LATER = "later"
PAID_WORDS = {means.value: words for means, words in MEANS_WORDS.items()}


class FirstInvoiceForm(TaxStartForm):
    """What only the first paper asks; hidden once the book has one."""

    last_number = IntegerField(
        "Last number of your old invoices", [Optional(), NumberRange(0, 999_999_999, "Type the number in figures.")]
    )
    tax_number = StringField("Your tax number", [LINE])
    address = TextAreaField("Your address", [WORDS])
    is_confirmed = BooleanField("These rates of tax are right")
    printed_name = StringField("Name on this paper and later ones", [LINE])
    """Asked only where the paper cannot print the letters of the customer's name."""


class IssueForm(FirstInvoiceForm):
    """An invoice is issued: the day on which the work was finished, and what its customer pays with it."""

    supply_on = DayField("Work finished on", default=today)
    means = RadioField("Paid", choices=choices({LATER: "Not yet"} | PAID_WORDS), default=LATER)
    amount = AmountField("Amount paid", [Optional()])
    reference = StringField("Reference", [LINE])


def paid_at_once(form: IssueForm) -> PaidAtOnce | None:
    """What the customer pays with the press that issues the invoice; None where it is paid later."""
    if form.means.data in (None, LATER):
        return None
    return PaidAtOnce(form.means.data, form.amount.data, form.reference.data or "")


class CreditForm(ActForm):
    """A credit note: all that is left, some lines, or a sum."""

    what = RadioField("Credit", choices=choices({"rest": "all that is left", "lines": "lines", "amount": "a sum"}))
    places = TicksField("Lines")
    amount = AmountField("Sum with tax")
    reason = StringField("Why", [Needed("Say in a word why: it stands on the credit note."), REASON])


class PayForm(ActForm):
    """Money comes in."""

    payer = SelectField("From")
    invoice_id = SelectField("For")
    printed_name = StringField("Name on this paper and later ones", [LINE])
    amount = AmountField("Amount", [Needed("Type the amount taken.")])
    means = RadioField("By", choices=choices(MEANS_WORDS), default=PayMeans.CARD)
    reference = StringField("Reference", [LINE])
    on = DayField("On", default=today)


class DepositForm(FirstInvoiceForm):
    """Money comes in before the work is done."""

    amount = AmountField("Amount", [Needed("Type the amount taken.")])
    means = RadioField("By", choices=choices(MEANS_WORDS), default=PayMeans.CARD)
    treatment = SelectField("Treated as", choices=choices(DEPOSIT_WORDS))
    reference = StringField("Reference", [LINE])
    on = DayField("On", default=today)


class RefundForm(ActForm):
    """Money goes back."""

    amount = AmountField("Amount", [Needed("Type the amount given back.")])
    means = RadioField("By", choices=choices(MEANS_WORDS), default=PayMeans.CARD)
    reason = StringField("Why", [Needed("Say in a word why it is given back."), REASON])
    on = DayField("On", default=today)


class MoveForm(ActForm):
    """A part of a payment is set against another paper."""

    source = SelectField("From")
    target = SelectField("To")
    amount = AmountField("Amount", [Needed("Type the amount to move.")])


class WriteOffForm(ActForm):
    """Debt is written off."""

    amount = AmountField("Write off", [Needed("Enter an amount, for example 120 or 120.50.")])
    reason = StringField("Reason", [Needed("Enter a reason. The log keeps it."), REASON])


class LetGoForm(ActForm):
    """The car goes with money still to pay."""

    why = StringField("Why may it go?", [Needed("Say in a word why the car may go."), REASON])
    taken_by = StringField("Who takes it", [LINE])


class QuickForm(FirstInvoiceForm):
    """A quick job: who, what, one price, how it was paid."""

    who = StringField("Who", [Needed("Type a name or a phone number: one is enough."), LINE])
    what = StringField("What was done", [Needed("Say in a line what was done."), LINE])
    price = AmountField("Price with tax", [Needed("Type the price with tax.")])
    kind = SelectField("It is for", choices=choices(LINE_KINDS))
    means = RadioField("Paid", choices=choices(PAID_WORDS | {LATER: "Not yet"}), default=PayMeans.CARD)
