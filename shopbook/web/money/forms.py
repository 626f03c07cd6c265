"""The forms for quotes, approvals, extras and payers."""

from wtforms import BooleanField, FieldList, FileField, FormField, HiddenField
from wtforms.fields import RadioField, SelectField, StringField, TextAreaField
from wtforms.validators import Optional

from shopbook.trade.agreeing.words import ApprovalMeans
from shopbook.trade.billing.payers import PayRule
from shopbook.web.parts.approving import ChosenField
from shopbook.web.parts.fields import (
    AmountField,
    ClockField,
    DayField,
    HoursField,
    Needed,
    WorkingDaysField,
    said_choices,
)
from shopbook.web.parts.forms import LINE, WORDS, ActForm, RevisedForm, TicksField, WordedForm, choices

LINE_KIND_WORDS = {
    "labour": "{Labour}",
    "materials": "Materials",
    "part": "Part",
    "colour": "Paint mixed for this car",
    "sublet": "Sublet work",
    "fee": "Fee",
}
WAY_WORDS = {
    ApprovalMeans.PHONE: "By phone",
    ApprovalMeans.TEXT: "By text",
    ApprovalMeans.IN_PERSON: "In person",
    ApprovalMeans.MAIL: "By email",
    ApprovalMeans.SIGNED: "Signs here",
}
NO_WAY = "Choose how it was approved."
RULE_WORDS = {
    PayRule.REST: "the rest",
    PayRule.EXCESS: "the {excess}",
    PayRule.EXCESS_AND_TAX: "the {excess} and all the tax",
    PayRule.FIXED: "a fixed amount",
    PayRule.LINES: "chosen items",
}


class LineFields(WordedForm):
    """One line of a group."""

    id = HiddenField()
    kind = SelectField("Kind", choices=said_choices(LINE_KIND_WORDS), default="part")
    words = StringField("Description", [LINE])
    amount = AmountField("Amount")
    is_out = BooleanField("Remove")


class GroupFields(WordedForm):
    """One group of a quote with its lines; the last line is empty, for a new one."""

    id = HiddenField()
    title = StringField("Item", [LINE])
    below = TextAreaField("Work, as the customer reads it", [WORDS])
    price = AmountField("Set price")
    lines = FieldList(FormField(LineFields))
    is_out = BooleanField("Remove this item")


class QuoteForm(RevisedForm):
    """A whole draft: its terms and its groups."""

    kind_of_price = RadioField(
        "Kind of price", choices=choices({"fixed": "Fixed", "estimate": "Not fixed, up to a limit"}), default="fixed"
    )
    up_to = AmountField("Limit with tax")
    discount = AmountField("Discount", default=0)
    discount_why = StringField("Reason for discount", [LINE])
    deposit = AmountField("Deposit with tax", default=0)
    valid_until = DayField("Valid until")
    not_included = TextAreaField("Not included", [WORDS])
    words = TextAreaField("Closing note", [WORDS])
    groups = FieldList(FormField(GroupFields))


class KeptApprovalForm(RevisedForm):
    """What both kinds of approval have: who, how, when, in which words, on which picture."""

    said_by = StringField("Name", [LINE])
    day = DayField("Day", [Optional()])
    clock = ClockField("Time", [Optional()])
    number_called = StringField("Number called", [LINE])
    taken_by = RadioField("Call taken by", validate_choice=False)
    words = TextAreaField("In their words, or a note", [WORDS])
    picture = FileField("Picture of the message")
    still_holds = BooleanField("Accept the price although it has expired")


class ApprovalForm(KeptApprovalForm):
    """The customer's approval."""

    groups = TicksField("Approved items", validate_choice=False)
    whose = RadioField("Who approves?", validate_choice=False)
    means = ChosenField("How?", NO_WAY, choices({means: WAY_WORDS[means] for means in WAY_WORDS}))
    signature = HiddenField()
    customer_pays = BooleanField("The customer pays for this extra work")


class PayerApprovalForm(KeptApprovalForm):
    """The payer's approval of an amount."""

    customer = SelectField("Who pays", [Needed("Choose who pays.")], validate_choice=False)
    repair_total = AmountField("Approved total with tax", [Optional()])
    excess = AmountField("{Excess}", [Optional()])
    amount = AmountField("Payer pays", [Needed("Enter what the payer pays, for example 1200 or 1200.50.")])
    means = ChosenField(
        "How?", NO_WAY, choices({means: WAY_WORDS[means] for means in WAY_WORDS if means is not ApprovalMeans.SIGNED})
    )
    said_by = StringField(
        "Name and reference", [Needed("Enter who approved it, and a reference if there is one."), LINE]
    )


class PayerDeclinesForm(ActForm):
    """Why a payer will not pay for extra work."""

    why = StringField("What they said", [LINE])


class ExtraForm(ActForm):
    """What was found later."""

    title = StringField("What was found", [Needed("Enter what was found."), LINE])
    below = TextAreaField("Work to be done", [WORDS])
    body = HoursField("Body work, hours", most=99)
    paint = HoursField("Paint work, hours", most=99)
    price = AmountField("Set price")
    stages = TicksField("Planned stages that belong to it", validate_choice=False)
    days = WorkingDaysField("Working days it adds", [Optional()])
    promise_on = DayField("New day for {pickup_of_car}", [Optional()])
    picture = FileField("Photo")


class PayerFields(WordedForm):
    """One payer's row; without a name it is ignored."""

    customer = SelectField("Payer", validate_choice=False)
    rule = SelectField("Pays", choices=said_choices(RULE_WORDS), default=PayRule.REST.value)
    amount = AmountField("Amount", [Optional()])
    betterment = AmountField("Betterment before tax", [Optional()])
    betterment_code = SelectField("Tax rate", validate_choice=False)
    parts = TicksField("Items", validate_choice=False)
    reference = StringField("Reference", [LINE])


class PayersForm(ActForm):
    """Who pays for a job."""

    payers = FieldList(FormField(PayerFields), min_entries=3, max_entries=6)
