"""The forms that correct an invoice or charge a rest to another payer; both may ask for an approval."""

from collections.abc import Mapping

from wtforms import Field, FieldList, FormField, HiddenField
from wtforms.fields import RadioField, SelectField, StringField, TextAreaField

from shopbook.services.money.correctable import Correctable
from shopbook.services.money.corrected_paper import Right
from shopbook.services.money.corrections import AS_CREDIT, AS_PAID
from shopbook.services.money.invoice_approvals import ApprovalSaid
from shopbook.trade.agreeing.words import ApprovalMeans
from shopbook.trade.errors import RuleBroken
from shopbook.web.money.invoice_forms import PAID_WORDS, REASON
from shopbook.web.parts.fields import AmountField, Needed
from shopbook.web.parts.forms import LINE, WORDS, ActForm, WordedForm, choices
from shopbook.web.parts.keys import key_or_none

HOW_WORDS = {
    ApprovalMeans.PHONE.value: "Call",
    ApprovalMeans.TEXT.value: "Text",
    ApprovalMeans.MAIL.value: "Mail",
    ApprovalMeans.IN_PERSON.value: "In person",
}
OVER_WORDS = {AS_PAID: "As paid"} | PAID_WORDS


def _text(field: Field) -> str:
    return str(field.data or "")


class ApprovalFields(WordedForm):
    """A payer's approval of what passes the earlier one; how it came is chosen by the person alone."""

    customer = HiddenField()
    said_by = StringField("Approved by", [LINE])
    means = RadioField("How", choices=choices(HOW_WORDS), validate_choice=False)
    words = StringField("Their words, or a note", [WORDS])

    def said(self) -> ApprovalSaid:
        """The approval as typed; a way that is none of ours is none."""
        means = self.means.data if self.means.data in HOW_WORDS else ""
        return ApprovalSaid(self.said_by.data or "", means or "", self.words.data or "")


class PriceFields(WordedForm):
    """The right price of one line; left empty it stays."""

    amount = AmountField("Price", is_signed=True)


class ItemFields(WordedForm):
    """The right words of one item."""

    title = StringField("Item", [LINE])
    below = TextAreaField("What was done", [WORDS])

    def words(self) -> tuple[str, str]:
        """Both as typed."""
        return _text(self.title), _text(self.below)


class PayerNameFields(WordedForm):
    """A payer as it is printed, with its claim or order number."""

    name = StringField("Payer as printed", [LINE])


class CorrectForm(ActForm):
    """All of an invoice that can be put right, why, and what becomes of money that is over."""

    seen = HiddenField()
    prices = FieldList(FormField(PriceFields), "Prices")
    items = FieldList(FormField(ItemFields), "Words")
    payers = FieldList(FormField(PayerNameFields), "Payers")
    approvals = FieldList(FormField(ApprovalFields), "Approval")
    to = StringField("Name", [LINE])
    to_lines = TextAreaField("Address", [WORDS])
    order = StringField("Order number", [LINE])
    reason = StringField("Reason", [Needed("Enter a reason. It is printed on both papers."), REASON])
    over = RadioField("Refund", choices=choices(OVER_WORDS | {AS_CREDIT: "Keep as credit"}), default=AS_PAID)

    def refuse(self, broken: RuleBroken) -> None:
        """A price that cannot be has its sentence beside it."""
        place = (broken.field or "").removeprefix("amount_")
        if place.isdigit() and int(place) < len(self.prices.entries):
            amount = self.prices.entries[int(place)].form.amount
            amount.errors = [*amount.errors, broken.sentence]
            self.prices.errors = [*self.prices.errors, {"amount": [broken.sentence]}]
        else:
            super().refuse(broken)

    def right(self) -> Right:
        """What was typed."""
        amounts = {place: entry.form.amount.data for place, entry in enumerate(self.prices)}
        return Right(
            reason=_text(self.reason),
            amounts={place: amount for place, amount in amounts.items() if amount is not None},
            items={place: entry.form.words() for place, entry in enumerate(self.items)},
            to=_text(self.to),
            to_lines=[line.strip() for line in _text(self.to_lines).splitlines()],
            order=_text(self.order),
            payers={place: _text(entry.form.name) for place, entry in enumerate(self.payers)},
        )

    def said(self) -> Mapping[int | None, ApprovalSaid]:
        """The approvals as typed, by payer."""
        return {key_or_none(row.customer.data): row.said() for row in (entry.form for entry in self.approvals)}


def correct_form(first: Correctable) -> CorrectForm:
    """The form as the invoice stands, with the name of each line beside its price."""
    frozen = first.invoice.frozen
    names = {row["customer_id"]: row["name"] for row in frozen["payers"]}
    form = CorrectForm(
        data={
            "prices": [{"amount": amount} for amount in first.amounts],
            "items": [{"title": item.title, "below": item.below} for item in first.items],
            "payers": [{"name": names.get(row.customer_id, "")} for row in first.rows] if len(first.rows) > 1 else [],
            "approvals": [{"customer": str(row.customer_id or "")} for row in first.rows],
            "to": frozen["to"],
            "to_lines": "\n".join(frozen["to_lines"]),
            "order": first.order,
        }
    )
    for line, entry in zip(first.bill.lines, form.prices, strict=False):
        entry.form.amount.label.text = line.titled
    return form


class MoveRestForm(ActForm):
    """What one payer still owes is charged to another."""

    to = SelectField("Charge", validate_choice=False)
    amount = AmountField("Amount", [Needed("Enter an amount, for example 120 or 120.50.")])
    reason = StringField("Reason", [Needed("Enter a reason. The log keeps it."), REASON])
    approvals = FormField(ApprovalFields)

    def refuse(self, broken: RuleBroken) -> None:
        """What is missing of an approval has its sentence beside the name."""
        if broken.field == "approvals":
            said_by = self.approvals.form.said_by
            said_by.errors = [*said_by.errors, broken.sentence]
        else:
            super().refuse(broken)
