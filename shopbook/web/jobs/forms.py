"""The forms about jobs: booked in, checked in, given days, cancelled; damage; stages; parts."""

from wtforms import BooleanField, HiddenField, IntegerField
from wtforms.fields import RadioField, SelectField, StringField, TextAreaField
from wtforms.validators import Length, NumberRange, Optional
from wtforms.widgets import HiddenInput

from shopbook.trade.agreeing.words import LOST_WORDS, ApprovalMeans
from shopbook.trade.car.damage import (
    ACCESS_WORDS,
    CLEAR_STOP_WORDS,
    CROSSING_WORDS,
    DEPTH_WORDS,
    PAINT_WORDS,
    PLASTIC_WORDS,
    REACH_WORDS,
    SIZE_WORDS,
    SKILL_WORDS,
    SUBSTRATE_WORDS,
)
from shopbook.trade.car.damage import KIND_WORDS as DAMAGE_WORDS
from shopbook.trade.car.part_kinds import PART_KIND_WORDS, PART_SOURCE_WORDS
from shopbook.trade.customer_kinds import KIND_WORDS
from shopbook.trade.letters import upper_first
from shopbook.trade.measures.units import Kind
from shopbook.trade.purposes import JOB_PURPOSE_WORDS, STAGE_PURPOSE_WORDS
from shopbook.web.parts.approving import CUSTOMER, SOMEBODY
from shopbook.web.parts.fields import (
    AmountField,
    DayField,
    HoursField,
    Needed,
    QuantityField,
    ThicknessField,
    said_choices,
)
from shopbook.web.parts.forms import HALVES, LINE, WORDS, ActForm, Choices, KeyField, RevisedForm, TicksField, choices
from shopbook.web.parts.frame import said
from shopbook.web.parts.same_car import PlateForm

FUEL_WORDS = {each: each or "not checked" for each in ("", "empty", "a quarter", "half", "three quarters", "full")}


WHO_APPROVES = choices({CUSTOMER: "The customer above", SOMEBODY: "Someone else"})
HOW_HERE = choices({ApprovalMeans.SIGNED: "Signs here", ApprovalMeans.IN_PERSON: "In person"})
"""An approval at the car; one by phone or text is saved on the page of approvals."""


class WhoForm(PlateForm):
    """The customer and the car, as typed or as chosen from the book."""

    who = StringField("Name or phone", [LINE])
    known = StringField("Already in the book")
    car = StringField("Car", [LINE])
    plate = StringField("{Registration}", [LINE])


class BookInForm(WhoForm):
    """A car is booked in: customer and what is wrong; the rest when it is known."""

    wrong = StringField("What’s wrong?", [LINE])
    payer_kind = SelectField("Who pays", choices=choices(KIND_WORDS))
    purpose = SelectField("Type of job")
    drop_off_on = DayField("Drop-off", [Optional()])
    drop_off_half = SelectField("Time of day", choices=choices(HALVES))

    def offer(self) -> None:
        self.purpose.choices = _job_purposes()


class KerbForm(WhoForm):
    """Customer, what is wrong, and the approval if given at once; the panels' own fields are read beside it."""

    wrong = StringField("What’s wrong?", [LINE])
    is_said = BooleanField("The customer knows this price")
    continues = RadioField("Already open", choices=[], validate_choice=False)
    whose = RadioField("Who approves?", choices=WHO_APPROVES, validate_choice=False)
    means = RadioField("How?", choices=HOW_HERE, validate_choice=False)
    said_by = StringField("Name", [LINE])
    signature = HiddenField("Signature")


class WhoseForm(WhoForm, RevisedForm):
    """The customer and the car of a job, added after the job was opened."""


class JobForm(RevisedForm):
    """What a job is about and who pays."""

    wrong = StringField("What’s wrong?", [LINE])
    payer_kind = SelectField("Who pays", choices=choices(KIND_WORDS))
    purpose = SelectField("Type of job")

    def offer(self) -> None:
        self.purpose.choices = _job_purposes()


class DeskFactsForm(PlateForm, RevisedForm):
    """The facts about a car in the shop."""

    car = StringField("Car", [LINE])
    plate = StringField("{Registration}", [LINE])
    key_number = StringField("Key", [Length(max=20, message="Enter at most 20 characters.")])
    place_id = SelectField("Place", coerce=int, choices=[])
    odometer = IntegerField(
        "{Mileage}", [Optional(), NumberRange(0, 9_999_999, "Enter the {mileage}, for example 48875.")]
    )
    fuel = SelectField("Fuel", choices=choices(FUEL_WORDS))
    lamps_lit = StringField("Warning lights on", [LINE])
    was_there = TextAreaField("Existing damage", [WORDS])
    belongings = TextAreaField("Left in the car", [WORDS])


class DaysForm(ActForm):
    """The drop-off day and the promised day."""

    drop_off_on = DayField("Drop-off", [Optional()])
    drop_off_half = SelectField("Time of day", choices=choices(HALVES))
    promise_on = DayField("Promised day", [Optional()])
    promise_half = SelectField("Time of day", choices=choices(HALVES))


class CallOffForm(ActForm):
    """Why a job is cancelled."""

    why = SelectField("Reason", choices=choices(LOST_WORDS))


class DamageForm(ActForm):
    """One damage."""

    KEPT = (
        *("panel", "panel_words", "kind", "size", "depth", "depth_um", "dent_count"),
        *("access", "substrate", "is_paint_sound", "paint", "note"),
        *("reach", "chip_count", "plastic", "was_filled", "is_epoxy_first", "clear_stop"),
    )
    """The fields that hold what the book keeps as it stands."""

    panel = SelectField("Panel", choices=[])
    panel_words = StringField("Name of the panel", [LINE])
    kind = SelectField("Type of damage", choices=said_choices(DAMAGE_WORDS))
    size = SelectField("Size", choices=choices(SIZE_WORDS), default="M")
    length_mm = QuantityField("Length", [Optional()], kind=Kind.LENGTH)
    width_mm = QuantityField("Width", [Optional()], kind=Kind.LENGTH)
    depth = SelectField("Depth", choices=choices(DEPTH_WORDS))
    depth_um = ThicknessField("Measured depth", [Optional()], kind=Kind.LENGTH)
    reach = SelectField("Goes down to", choices=said_choices(REACH_WORDS), default="")
    chip_count = IntegerField(
        "Number of stone chips", [Optional(), NumberRange(0, 2000, "Enter a number from 1 to 2000.")]
    )
    dent_count = IntegerField("Number of dents", [Optional(), NumberRange(0, 2000, "Enter a number from 1 to 2000.")])
    dent_class_mm = QuantityField("Largest dent across", [Optional()], kind=Kind.LENGTH)
    crosses = TicksField("Crosses", choices=choices(CROSSING_WORDS))
    access = SelectField("Access from behind", choices=choices(ACCESS_WORDS))
    substrate = SelectField("Made of", choices=said_choices(SUBSTRATE_WORDS))
    plastic = SelectField("Kind of plastic", choices=choices(PLASTIC_WORDS), default="")
    was_filled = BooleanField("Filled before")
    is_epoxy_first = BooleanField("Epoxy under the filler, overnight")
    is_paint_sound = BooleanField("The paint is sound")
    paint = SelectField("Paint", choices=choices({"": "Usual for the damage"} | PAINT_WORDS), default="")
    blend_into = TicksField("Blend into", choices=[])
    clear_stop = SelectField("Where the {clear} stops", choices=said_choices(CLEAR_STOP_WORDS), default="")
    note = TextAreaField("Note", [WORDS])


class ReadingForm(ActForm):
    """One reading of the coating gauge."""

    panel = SelectField("Panel", choices=[])
    spot = StringField("Where on the panel", [LINE])
    value = ThicknessField("Reading", kind=Kind.FILM)


class StageForm(ActForm):
    """The hours, name and drying time of one stage, and the part that it waits for."""

    name = StringField("Stage", [LINE])
    skill = SelectField("Skill", choices=choices(SKILL_WORDS))
    planned_minutes = HoursField("Hours", [Optional()])
    not_before_minutes = HoursField("Drying time, hours", [Optional()], most=166)
    part_id = SelectField("Waits for part", coerce=int, choices=[])
    why = StringField("Reason", [LINE])
    version = KeyField(widget=HiddenInput(), default=0)


class MixChangeForm(ActForm):
    """A planned mix as a whole: what is left as shown stays, and a typed total wins over coats and area."""

    total = QuantityField("Total", kind=Kind.VOLUME)
    ratio = StringField("Ratio", [LINE])
    coats = IntegerField("Coats", [Optional(), NumberRange(1, 6, "Enter from 1 to 6 coats.")])
    area = QuantityField("Area", [Optional()], kind=Kind.AREA)
    why = StringField("Reason", [LINE])
    version = KeyField(widget=HiddenInput(), default=0)


class WeighedMixForm(MixChangeForm):
    """The same of what is weighed."""

    total = QuantityField("Total", kind=Kind.MASS)


class NewUseForm(ActForm):
    """One more material of a stage."""

    material_id = SelectField("Material", coerce=int, choices=[])
    mix = SelectField("Goes into", choices=[])
    amount = StringField("Amount", [LINE])
    why = StringField("Reason", [LINE])


class NewStageForm(ActForm):
    """One more stage."""

    name = StringField("Work to do", [LINE])
    skill = SelectField("Skill", choices=choices(SKILL_WORDS))
    minutes = HoursField("Hours")
    after_stage_id = SelectField("After", coerce=int, choices=[])
    purpose = SelectField(
        "Type of work", choices=choices({"": "part of the plan"} | dict(list(STAGE_PURPOSE_WORDS.items())[1:]))
    )
    panel = SelectField("Panel", choices=[])
    why = StringField("Reason", [LINE])


class PartForm(ActForm):
    """One thing bought for one car."""

    name = StringField("Description", [LINE])
    kind = SelectField("Kind", choices=choices(PART_KIND_WORDS))
    source = SelectField("Source", choices=choices({"": "not stated"} | PART_SOURCE_WORDS))
    cost_minor = AmountField("Cost before tax", [Optional()])
    price_minor = AmountField("Price before tax", [Optional()])
    supplier_id = SelectField("Supplier", coerce=int, choices=[])
    quote_group_key = SelectField("Item", choices=[])
    due_on = DayField("Due", [Optional()])


class WhatIfForm(ActForm):
    """Another day, other coats: what would change. Empty leaves it as it is."""

    temperature = QuantityField("Shop temperature", [Optional()], kind=Kind.TEMPERATURE)
    humidity = IntegerField("Humidity, %", [Optional(), NumberRange(1, 100, "Enter a percentage from 1 to 100.")])
    has_lamp = SelectField(
        "Lamp", validate_choice=False, choices=choices({"": "as now", "yes": "with a lamp", "no": "without a lamp"})
    )
    base_coats = IntegerField("Base coats", [Optional(), NumberRange(1, 6, "Enter from 1 to 6 coats.")])
    clear_coats = IntegerField("{Clear_coats}", [Optional(), NumberRange(1, 6, "Enter from 1 to 6 coats.")])
    is_blended = SelectField(
        "Blend",
        validate_choice=False,
        choices=choices({"": "as now", "yes": "blend into the next panels", "no": "no blend"}),
    )
    is_surfacer_for_build = SelectField(
        "{Primer}",
        validate_choice=False,
        choices=choices({"": "as now", "yes": "mixed thicker, for build", "no": "mixed as on the label"}),
    )


class ReplaceForm(ActForm):
    """A damaged panel and what a new one costs."""

    panel = SelectField("Panel", choices=[])
    part_minor = AmountField("Cost of the part", [Needed("Enter the cost of the part, or 0 if you already have it.")])


def _job_purposes() -> Choices:
    return choices({purpose: upper_first(said(words)) for purpose, words in JOB_PURPOSE_WORDS.items()})


def panel_choices(panels: dict[str, str]) -> Choices:
    """Panels as a select offers them."""
    return choices({code: upper_first(words) for code, words in panels.items()})
