"""The forms about quotes, yeses, extras and payers."""

from wtforms import BooleanField, FieldList, FileField, Form, FormField, HiddenField
from wtforms.fields import RadioField, SelectField, StringField, TextAreaField
from wtforms.validators import Optional

from shopbook.trade.agreeing.words import ApprovalMeans
from shopbook.trade.billing.payers import PayRule
from shopbook.web.parts.fields import AmountField, DayField, HoursField, Needed, WorkingDaysField
from shopbook.web.parts.forms import LINE, WORDS, ActForm, RevisedForm, TicksField, choices

LINE_KIND_WORDS = {
    "labour": "Labour",
    "materials": "Materials",
    "part": "Part",
    "colour": "Colour for the car",
    "sublet": "Sublet work",
    "fee": "Fee",
}
RULE_WORDS = {
    PayRule.REST: "the rest",
    PayRule.EXCESS: "the first of it (excess)",
    PayRule.EXCESS_AND_TAX: "the excess and all the tax",
    PayRule.FIXED: "a fixed sum",
    PayRule.LINES: "chosen parts",
}


class LineFields(Form):
    """One line of a group."""

    id = HiddenField()
    kind = SelectField("For", choices=choices(LINE_KIND_WORDS), default="part")
    words = StringField("Words", [LINE])
    amount = AmountField("Amount")
    is_out = BooleanField("Take off")


class GroupFields(Form):
    """One group of a quote with its lines; the last line is empty, for a new one."""

    id = HiddenField()
    title = StringField("Part", [LINE])
    below = TextAreaField("What is done, for the customer", [WORDS])
    price = AmountField("Price by hand")
    lines = FieldList(FormField(LineFields))
    is_out = BooleanField("Take this part off the quote")


class QuoteForm(RevisedForm):
    """A whole draft: its terms and its groups."""

    kind_of_price = RadioField(
        "Kind of price", choices=choices({"fixed": "Fixed price", "estimate": "Estimate up to"}), default="fixed"
    )
    up_to = AmountField("Up to, with tax")
    discount = AmountField("Discount", default=0)
    discount_why = StringField("Discount for", [LINE])
    deposit = AmountField("Deposit asked, with tax", default=0)
    valid_until = DayField("Holds until")
    not_included = TextAreaField("Not included", [WORDS])
    words = TextAreaField("Words at the foot", [WORDS])
    groups = FieldList(FormField(GroupFields))


class KeptApprovalForm(RevisedForm):
    """What both kinds of yes have: who, in which words, on which picture."""

    said_by = StringField("Name of who says yes", [Needed("Type the name of who said yes."), LINE])
    words = TextAreaField("Their words, or a note", [WORDS])
    picture = FileField("Picture of the message")
    still_holds = BooleanField("The price still holds after its last day")


class ApprovalForm(KeptApprovalForm):
    """The owner's yes."""

    groups = TicksField("Said yes to", validate_choice=False)
    means = RadioField(
        "How",
        choices=choices(
            {
                ApprovalMeans.SIGNED: "Signs",
                ApprovalMeans.IN_PERSON: "Spoken",
                ApprovalMeans.PHONE: "Phone",
                ApprovalMeans.TEXT: "Text",
                ApprovalMeans.MAIL: "Mail",
            }
        ),
        default=ApprovalMeans.SIGNED.value,
    )
    signature = HiddenField()
    customer_pays = BooleanField("The customer pays for this extra")


class PayerApprovalForm(KeptApprovalForm):
    """The payer's yes to an amount."""

    customer = SelectField("Who pays", validate_choice=False)
    repair_total = AmountField("Repair total approved, with tax", [Optional()])
    excess = AmountField("Excess", [Optional()])
    amount = AmountField("What it pays, with tax", [Needed("Enter what it pays, for example 1200 or 1200.50.")])
    means = RadioField(
        "How",
        choices=choices(
            {
                ApprovalMeans.MAIL: "Mail",
                ApprovalMeans.PHONE: "Phone",
                ApprovalMeans.TEXT: "Text",
                ApprovalMeans.IN_PERSON: "In person",
            }
        ),
        default=ApprovalMeans.MAIL.value,
    )
    said_by = StringField(
        "Name and reference", [Needed("Type who accepted it, and a reference if there is one."), LINE]
    )


class ExtraForm(ActForm):
    """What was found later."""

    title = StringField("What was found", [Needed("Say in a line what was found."), LINE])
    below = TextAreaField("What is to be done", [WORDS])
    body = HoursField("Body work, hours", most=99)
    paint = HoursField("Paint work, hours", most=99)
    price = AmountField("Price by hand")
    stages = TicksField("Stages of the plan that belong to it", validate_choice=False)
    days = WorkingDaysField("Working days it adds", [Optional()])
    promise_on = DayField("New day for collection", [Optional()])
    picture = FileField("Photo of it")


class PayerFields(Form):
    """One payer's row; left without a name it counts for nothing."""

    customer = SelectField("Payer", validate_choice=False)
    rule = SelectField("Pays", choices=choices(RULE_WORDS), default=PayRule.REST.value)
    amount = AmountField("Amount", [Optional()])
    betterment = AmountField("Betterment, without tax", [Optional()])
    betterment_code = SelectField("Kind of tax", validate_choice=False)
    parts = TicksField("Parts", validate_choice=False)
    reference = StringField("Reference", [LINE])


class PayersForm(ActForm):
    """Who pays for a job."""

    payers = FieldList(FormField(PayerFields), min_entries=3, max_entries=6)
