"""The forms about customers and vehicles."""

from wtforms import BooleanField, IntegerField, SelectField, StringField, TextAreaField
from wtforms.validators import Length, NumberRange, Optional, Regexp

from shopbook.trade.customer_kinds import KIND_WORDS
from shopbook.trade.planning.shapes import Finish
from shopbook.web.parts.forms import LONGEST_LINE, LONGEST_WORDS, RevisedForm, choices

FINISH_WORDS: dict[str, str] = {
    "": "Not known",
    Finish.SOLID: "Solid",
    Finish.METALLIC: "Metallic",
    Finish.PEARL: "Pearl",
    Finish.THREE_STAGE: "Three-stage",
    Finish.MATT: "Matt",
}
_LINE = Length(max=LONGEST_LINE, message=f"At most {LONGEST_LINE} letters here.")
_WORDS = Length(max=LONGEST_WORDS, message=f"At most {LONGEST_WORDS} letters here.")


class CustomerForm(RevisedForm):
    """Who brings a car or pays for it."""

    name = StringField("Name", [_LINE])
    phone = StringField("Phone", [_LINE])
    mail = StringField("Mail", [_LINE])
    address = TextAreaField("Address", [_WORDS])
    kind = SelectField("Kind", choices=choices(KIND_WORDS))
    tax_number = StringField("Tax number", [_LINE])
    is_tax_registered = BooleanField("Registered for tax")
    pays_within_days = IntegerField(
        "Pays within, days",
        [Optional(), NumberRange(0, 365, "Type a number of days from 0 to 365.")],
        default=0,
    )
    note = TextAreaField("Note", [_WORDS])


class VehicleForm(RevisedForm):
    """One car. Nothing but a plate or a word is needed."""

    plate = StringField("Plate", [_LINE])
    description = StringField("Car", [_LINE])
    year = IntegerField("Year", [Optional(), NumberRange(1886, 2100, "Type the year in four figures, such as 2017.")])
    vin = StringField("VIN or frame number", [_LINE])
    colour_name = StringField("Colour", [_LINE])
    colour_code = StringField("Colour code", [_LINE])
    colour_hex = StringField(
        "Colour on the screen", [Optional(), Regexp(r"#[0-9a-fA-F]{6}\Z", message="Choose a colour from the list.")]
    )
    finish = SelectField("Finish", choices=choices(FINISH_WORDS))
    hue = StringField("Shade in a word", [_LINE])
    is_high_voltage = BooleanField("High-voltage drive")
    has_driver_aids = BooleanField("Cameras or radar that may need calibrating")
    note = TextAreaField("Note", [_WORDS])
