"""The forms about jobs: booked in, checked in, given days, called off; damage; stages; parts."""

from wtforms import BooleanField, HiddenField, IntegerField
from wtforms.fields import SelectField, StringField, TextAreaField
from wtforms.validators import Length, NumberRange, Optional
from wtforms.widgets import HiddenInput

from shopbook.trade.agreeing.words import LOST_WORDS
from shopbook.trade.car.damage import (
    ACCESS_WORDS,
    CROSSING_WORDS,
    DEPTH_WORDS,
    PAINT_WORDS,
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
from shopbook.web.parts.fields import AmountField, DayField, HoursField, Needed, QuantityField
from shopbook.web.parts.forms import HALVES, LINE, WORDS, ActForm, Choices, KeyField, RevisedForm, TicksField, choices
from shopbook.web.parts.same_car import PlateForm

FUEL_WORDS = {each: each or "not looked" for each in ("", "empty", "a quarter", "half", "three quarters", "full")}


class WhoForm(PlateForm):
    """Who brings a car and which car it is, as typed or as chosen among those of the book."""

    who = StringField("Name or phone", [LINE])
    known = StringField("In the book already")
    car = StringField("Car", [LINE])
    plate = StringField("Plate", [LINE])


class BookInForm(WhoForm):
    """A car is booked in: who, what is wrong; the rest when it is known."""

    wrong = StringField("What is wrong, in a line", [LINE])
    payer_kind = SelectField("Who pays", choices=choices(KIND_WORDS))
    purpose = SelectField("Why we do it", choices=choices(JOB_PURPOSE_WORDS))
    drop_off_on = DayField("Comes in", [Optional()])
    drop_off_half = SelectField("At", choices=choices(HALVES))


class KerbForm(WhoForm):
    """Who, what is wrong, and the yes if it is given at once; the panels' own fields are read beside it."""

    wrong = StringField("What is wrong, in a line", [LINE])
    is_said = BooleanField("The customer knows this price")
    said_by = StringField("Name of who says yes", [LINE])
    signature = HiddenField("Signature")


class WhoseForm(WhoForm, RevisedForm):
    """Who brings a job's car and which car it is, said after the job was opened."""


class JobForm(RevisedForm):
    """What a job is about and who pays."""

    wrong = StringField("What is wrong, in a line", [LINE])
    payer_kind = SelectField("Who pays", choices=choices(KIND_WORDS))
    purpose = SelectField("Why we do it", choices=choices(JOB_PURPOSE_WORDS))


class DeskFactsForm(PlateForm, RevisedForm):
    """The strip of facts about a car in the shop."""

    car = StringField("Car", [LINE])
    plate = StringField("Plate", [LINE])
    key_number = StringField("Key", [Length(max=20, message="At most 20 letters here.")])
    place_id = SelectField("Place", coerce=int, choices=[])
    odometer = IntegerField("Odometer", [Optional(), NumberRange(0, 9_999_999, "Type what the odometer shows.")])
    fuel = SelectField("Fuel", choices=choices(FUEL_WORDS))
    lamps_lit = StringField("Lamps lit in the dash", [LINE])
    was_there = TextAreaField("Was there before", [WORDS])
    belongings = TextAreaField("Left in it", [WORDS])


class DaysForm(ActForm):
    """When it comes and when it is promised."""

    drop_off_on = DayField("Comes in", [Optional()])
    drop_off_half = SelectField("In the", choices=choices(HALVES))
    promise_on = DayField("Promised for", [Optional()])
    promise_half = SelectField("For the", choices=choices(HALVES))


class CallOffForm(ActForm):
    """Why a job comes to nothing."""

    why = SelectField("Because of", choices=choices(LOST_WORDS))


class DamageForm(ActForm):
    """One hurt place."""

    KEPT = (
        *("panel", "panel_words", "kind", "size", "depth", "depth_um", "dent_count"),
        *("access", "substrate", "is_paint_sound", "paint", "note"),
    )
    """The fields that hold what the book keeps as it stands."""

    panel = SelectField("Panel", choices=[])
    panel_words = StringField("Its name, if it is another panel", [LINE])
    kind = SelectField("What happened", choices=choices(DAMAGE_WORDS))
    size = SelectField("Size", choices=choices(SIZE_WORDS), default="M")
    length_mm = QuantityField("Length", [Optional()], kind=Kind.LENGTH)
    width_mm = QuantityField("Width", [Optional()], kind=Kind.LENGTH)
    depth = SelectField("Depth", choices=choices(DEPTH_WORDS))
    depth_um = QuantityField("Measured depth", [Optional()], kind=Kind.LENGTH)
    dent_count = IntegerField("How many", [Optional(), NumberRange(0, 2000, "Count from 1 to 2000.")])
    dent_class_mm = QuantityField("The largest across", [Optional()], kind=Kind.LENGTH)
    crosses = TicksField("Crosses", choices=choices(CROSSING_WORDS))
    access = SelectField("Access behind", choices=choices(ACCESS_WORDS))
    substrate = SelectField("Made of", choices=choices(SUBSTRATE_WORDS))
    is_paint_sound = BooleanField("The paint is sound")
    paint = SelectField("Paint", choices=choices(PAINT_WORDS), default="paint")
    note = TextAreaField("Note", [WORDS])


class ReadingForm(ActForm):
    """One reading of the coating gauge."""

    panel = SelectField("Panel", choices=[])
    spot = StringField("Where on it", [LINE])
    value = QuantityField("Reading", kind=Kind.FILM)


class StageForm(ActForm):
    """The hours, words and wait of one stage, and the part that it waits for."""

    name = StringField("Stage", [LINE])
    skill = SelectField("Skill", choices=choices(SKILL_WORDS))
    planned_minutes = HoursField("Hours", [Optional()])
    not_before_minutes = HoursField("Then nobody works for, hours", [Optional()], most=166)
    part_id = SelectField("Waits for a part", coerce=int, choices=[])
    why = StringField("Why", [LINE])
    version = KeyField(widget=HiddenInput(), default=0)


class NewStageForm(ActForm):
    """One more stage."""

    name = StringField("What is to be done", [LINE])
    skill = SelectField("Skill", choices=choices(SKILL_WORDS))
    minutes = HoursField("Hours")
    after_stage_id = SelectField("Behind", coerce=int, choices=[])
    purpose = SelectField("As", choices=choices({"": "part of the plan"} | dict(list(STAGE_PURPOSE_WORDS.items())[1:])))
    panel = SelectField("Panel", choices=[])
    why = StringField("Why", [LINE])


class PartForm(ActForm):
    """One thing bought for one car."""

    name = StringField("What", [LINE])
    kind = SelectField("Kind", choices=choices(PART_KIND_WORDS))
    source = SelectField("Where from", choices=choices({"": "not said"} | PART_SOURCE_WORDS))
    cost_minor = AmountField("Cost before tax", [Optional()])
    price_minor = AmountField("Price before tax", [Optional()])
    supplier_id = SelectField("Supplier", coerce=int, choices=[])
    quote_group_key = SelectField("Belongs to", choices=[])
    due_on = DayField("Due", [Optional()])


class WhatIfForm(ActForm):
    """Another day, other coats: what would change. Empty leaves it as it is."""

    temperature = QuantityField("Shop temperature", [Optional()], kind=Kind.TEMPERATURE)
    humidity = IntegerField("Humidity, %", [Optional(), NumberRange(1, 100, "Type a percentage from 1 to 100.")])
    has_lamp = SelectField(
        "Lamp", validate_choice=False, choices=choices({"": "as it is", "yes": "with a lamp", "no": "without"})
    )
    base_coats = IntegerField("Base coats", [Optional(), NumberRange(1, 6, "Type from 1 to 6 coats.")])
    clear_coats = IntegerField("Clear coats", [Optional(), NumberRange(1, 6, "Type from 1 to 6 coats.")])
    is_blended = SelectField(
        "Blend",
        validate_choice=False,
        choices=choices({"": "as it is", "yes": "into the neighbours", "no": "no blend"}),
    )
    is_surfacer_for_build = SelectField(
        "Surfacer",
        validate_choice=False,
        choices=choices({"": "as it is", "yes": "reduced less, for build", "no": "reduced as on the tin"}),
    )


class ReplaceForm(ActForm):
    """A hurt panel and what a new one costs."""

    panel = SelectField("Panel", choices=[])
    part_minor = AmountField("A new part costs", [Needed("Type what a new part costs; 0 where it is there already.")])


def panel_choices(panels: dict[str, str]) -> Choices:
    """Panels as a select offers them."""
    return choices({code: upper_first(words) for code, words in panels.items()})
