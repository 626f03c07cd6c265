"""The forms about customers and vehicles."""

from collections.abc import Iterator
from typing import Any

from wtforms import BooleanField, HiddenField, IntegerField, SelectField, StringField, TextAreaField
from wtforms.validators import NumberRange, Optional, Regexp

from shopbook.trade.billing.exempt import check_exemption, exemption_from_json, exemption_to_json
from shopbook.trade.customer_kinds import KIND_WORDS
from shopbook.trade.planning.shapes import Finish
from shopbook.web.parts.fields import DayField, SelectChoice, said_choices
from shopbook.web.parts.forms import LINE, WORDS, Cleaned, RevisedForm, choices
from shopbook.web.parts.frame import country
from shopbook.web.parts.rows import Customer
from shopbook.web.parts.same_car import PlateForm

FINISH_WORDS: dict[str, str] = {
    "": "Not known",
    Finish.SOLID: "Solid",
    Finish.METALLIC: "Metallic",
    Finish.PEARL: "Pearl",
    Finish.THREE_STAGE: "Three-stage",
    Finish.MATT: "{Matt}",
}
COLOUR_WORDS: dict[str, str] = {
    "": "Not known",
    "#f1f1ec": "White",
    "#b8bec4": "Silver",
    "#6f767d": "{Grey}",
    "#1c1d20": "Black",
    "#2f5f9b": "Blue",
    "#22375e": "Dark blue",
    "#a8262b": "Red",
    "#6e1f2e": "Dark red",
    "#3d5f4b": "Green",
    "#c9a227": "Yellow",
    "#c8692e": "Orange",
    "#75543b": "Brown",
    "#cdbb98": "Beige",
    "#6a4a80": "Violet",
}
"""What the dot on the screen can look like; it is no product's colour."""


def _exemptions() -> list[SelectChoice]:
    """The certificates of the country; a customer without one is charged tax."""
    return [SelectChoice("", "none"), *(SelectChoice(each.code, each.name) for each in country().exemptions)]


class CustomerForm(RevisedForm):
    """Who brings a car or pays for it."""

    name = StringField("Name", [LINE])
    printed_name = StringField("Printed name", [LINE])
    phone = StringField("Phone", [LINE])
    mail = StringField("Email", [LINE])
    address = TextAreaField("Address", [WORDS])
    kind = SelectField("Customer type", choices=choices(KIND_WORDS))
    tax_number = StringField("Tax number", [LINE])
    is_tax_registered = BooleanField("Registered for tax")
    pays_within_days = IntegerField(
        "Payment terms, days",
        [Optional(), NumberRange(0, 365, "Enter a number of days from 0 to 365.")],
        default=0,
    )
    note = TextAreaField("Note", [WORDS])
    exempt_kind = SelectField("Certificate", choices=_exemptions, default="")
    exempt_number = StringField("Certificate number", [LINE])
    exempt_state = StringField("Issued in", [LINE])
    exempt_from = DayField("Date of the certificate", [Optional()])
    exempt_until = DayField("Expires", [Optional()])
    exempt_photo_goes = BooleanField("Remove the photo")
    photo = HiddenField()
    """Takes the sentence of a photo that could not be kept."""

    has_photo = False
    """Whether the certificate has a photo, which can be removed."""

    def clean(self) -> Cleaned:
        """What was typed, the certificate as it is kept. RuleBroken for one that the invoice could not name."""
        found = super().clean()
        del found["exempt_photo_goes"], found["photo"]
        kind, *typed = (found.pop(name) for name in EXEMPT_FIELDS)
        known = {each.code: each for each in country().exemptions}
        return found | {"exemption": exemption_to_json(check_exemption(known.get(kind), *typed))}


EXEMPT_FIELDS = ("exempt_kind", "exempt_number", "exempt_state", "exempt_from", "exempt_until")


def exempt_data(customer: Customer) -> dict[str, object]:
    """What the form shows of a customer's certificate."""
    kept = exemption_from_json(customer.exemption)
    if kept is None:
        return {}
    return dict(zip(EXEMPT_FIELDS, (kept.kind, kept.number, kept.state, kept.from_on, kept.until_on), strict=True))


class DotField(SelectField):
    """The colour of a car's dot: one of a few, or the one that it has already."""

    def iter_choices(self) -> Iterator[Any]:  # the stubs keep the type of a choice to themselves
        """The listed colours, then the present one when it is none of them."""
        kept = {} if not self.data or self.data in COLOUR_WORDS else {self.data: "Keep as it is"}
        self.choices = said_choices(COLOUR_WORDS | kept)()
        return super().iter_choices()


class VehicleForm(PlateForm, RevisedForm):
    """One car. Nothing but a plate or a word is needed."""

    plate = StringField("{Registration}", [LINE])
    description = StringField("Car", [LINE])
    year = IntegerField(
        "Year", [Optional(), NumberRange(1886, 2100, "Enter the year with four digits, for example 2017.")]
    )
    vin = StringField("VIN or frame number", [LINE])
    colour_name = StringField("{Colour}", [LINE])
    colour_code = StringField("{Colour} code", [LINE])
    colour_hex = DotField(
        "{Colour} on screen",
        [Optional(), Regexp(r"#[0-9a-fA-F]{6}\Z", message="Choose a {colour} from the list.")],
        choices=said_choices(COLOUR_WORDS),
        validate_choice=False,
    )
    finish = SelectField("Finish", choices=said_choices(FINISH_WORDS))
    hue = StringField("Shade", [LINE])
    is_high_voltage = BooleanField("Hybrid or electric, high voltage")
    has_driver_aids = BooleanField("Cameras or radar that may need calibrating")
    note = TextAreaField("Note", [WORDS])

    def words(self) -> Cleaned:
        """What is known of the car, without what only this page asks."""
        return {name: value for name, value in self.clean().items() if name != "same_car"}
