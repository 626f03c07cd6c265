"""The forms of the floor: what was really used, a mix, trouble, a spraying, hours."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from wtforms import (
    BooleanField,
    Field,
    FieldList,
    FileField,
    FormField,
    HiddenField,
    IntegerField,
    RadioField,
    SelectField,
    StringField,
)
from wtforms.fields import SelectMultipleField, TextAreaField
from wtforms.validators import NumberRange, Optional
from wtforms.widgets import CheckboxInput, ListWidget

from shopbook.queries.jobs.mixes import PlannedMix, PlannedPiece
from shopbook.queries.shelf.lots import LiveLot
from shopbook.trade.coating.colour_cards import VERDICT_WORDS
from shopbook.trade.floor.words import OTHER_WORDS, OWN_WORDS, WHY_WORDS
from shopbook.trade.measures.units import Kind, Unit
from shopbook.web.parts.fields import ClockField, DayField, HoursField, Needed, QuantityField, today
from shopbook.web.parts.forms import LINE, WORDS, ActForm, Choices, WordedForm, choices

WHY_CHOICES: dict[str, str] = {"": "Choose a reason"} | {why.value: words for why, words in WHY_WORDS.items()}


class UsedForm(ActForm):
    """What was used other than planned; its fields are those of one stage, made by `used_form`."""


def used_form(mixes: Sequence[PlannedMix], pieces: Sequence[PlannedPiece], lots: Iterable[LiveLot]) -> UsedForm:
    """A form with the planned figures filled in: the total and the rest of each mix, and the pieces.

    It asks when a lot was opened that soon goes off and is used for the first time.
    """
    fields: dict[str, Field] = {}
    for mix in mixes:
        kind = Unit(mix.unit).kind
        fields[f"mix_{mix.code}"] = QuantityField(f"{mix.name} mixed", kind=kind, default=mix.total_thousandths)
        if mix.weight_thousandths_g:
            fields[f"scale_{mix.code}"] = QuantityField("or the scale reading", kind=Kind.MASS)
        fields[f"left_{mix.code}"] = QuantityField(f"{mix.name} left in the cup", kind=kind, default=0)
        fields[f"kept_{mix.code}"] = BooleanField(f"{mix.name} left goes in a pot")
    for piece in pieces:
        fields[f"use_{piece.use_id}"] = QuantityField(
            piece.name, kind=Unit(piece.unit).kind, default=piece.amount_thousandths
        )
    made: UsedForm = type("StageUsedForm", (UsedForm,), fields | opened_fields(lots))()
    return made


def opened_fields(lots: Iterable[LiveLot]) -> dict[str, Field]:
    """A field for each lot that is asked when it was opened, named by its key; today unless somebody says otherwise."""
    return {
        f"opened_{one.left.lot.id}": DayField(f"{one.material.name} opened on", default=today)
        for one in lots
        if one.asks_opened_on
    }


def opened_days(form: ActForm) -> dict[int, date]:
    """The days that were given, by lot; an emptied field leaves the first use to say it."""
    named = ((field.name.removeprefix("opened_"), field.data) for field in form if field.name.startswith("opened_"))
    return {int(key): day for key, day in named if day is not None}


class MixPartForm(WordedForm):
    """One material of a mix made by hand."""

    material = SelectField("What", choices=(), validate_choice=False)
    amount = QuantityField("How much", kind=Kind.VOLUME)


class ShareForm(WordedForm):
    """One stage that shared a mix: by an amount, or ticked, by its planned share."""

    stage = HiddenField("Stage")
    amount = QuantityField("used", kind=Kind.VOLUME)
    is_on = BooleanField("shared it")


class CupForm(ActForm):
    """In which cup, how much, and for which other stages a planned mix is poured."""

    cup = SelectField("Cup", choices=(), validate_choice=False)
    amount = QuantityField("How much", [Optional()], kind=Kind.VOLUME)
    together = SelectMultipleField("Mix together with", choices=(), validate_choice=False)


class MixForm(ActForm):
    """A mix poured by hand for one stage or several."""

    name = StringField("What was mixed", [LINE])
    parts = FieldList(FormField(MixPartForm), "Parts", min_entries=3, max_entries=8)
    shares = FieldList(FormField(ShareForm), "Stages", max_entries=40)
    left = QuantityField("Left in the cup", kind=Kind.VOLUME, default=0)
    is_kept = BooleanField("Keep the rest in a pot")


def mix_form(lots: Iterable[LiveLot], data: Mapping[str, object] | None = None) -> MixForm:
    """A mix by hand for a stage, asking when the lots were opened that its plan uses for the first time."""
    made: MixForm = type("StageMixForm", (MixForm,), opened_fields(lots))(data=data)
    return made


class TroubleForm(ActForm):
    """What went wrong: the kind and the coat are chosen before, the cause is one tap or words."""

    cause = RadioField("Cause, most likely first", choices=(), validate_choice=False, default="")
    other = StringField("Or in your own words", [LINE])
    note = TextAreaField("Where on the panel and how bad", [WORDS])
    panels = SelectMultipleField(
        "Panels to redo",
        choices=(),
        validate_choice=False,
        widget=ListWidget(prefix_label=False),
        option_widget=CheckboxInput(),
    )
    is_returned = BooleanField("It came back after a first repair")


class OwnForm(ActForm):
    """Work on a car that needs no approval."""

    job = SelectField("Car", choices=(), coerce=str, validate_choice=False)
    purpose = RadioField("Kind of work", choices=choices(OWN_WORDS))
    note = StringField("Note", [LINE])


class SpokenForm(ActForm):
    """What a customer said about a job."""

    job = SelectField("Car", choices=(), coerce=str, validate_choice=False)
    note = StringField("About what", [LINE])


class FoundForm(ActForm):
    """What was found while working; hours only where somebody knows them."""

    job = SelectField("Car", choices=(), coerce=str, validate_choice=False)
    title = StringField("What you found", [Needed("Enter what you found."), LINE])
    below = StringField("What it needs", [LINE])
    body = HoursField("Body work, hours", most=99)
    paint = HoursField("Paint work, hours", most=99)


class SprayForm(ActForm):
    """One spraying as it was."""

    product = SelectField("What was sprayed", choices=())
    on = DayField("Day")
    colour_code = StringField("{Colour} code", [LINE])
    variant = StringField("Variant", [LINE])
    coats = IntegerField("Coats", [NumberRange(1, 20, "Enter 1 to 20 coats.")], default=2)
    tip_mm = StringField("Fluid tip, mm", [LINE])
    inlet_bar = QuantityField("Inlet pressure", kind=Kind.PRESSURE)
    distance_cm = QuantityField("Gun distance", kind=Kind.LENGTH)
    overlap_percent = StringField("Overlap, %", [LINE])
    temperature_c = QuantityField("Air temperature", kind=Kind.TEMPERATURE)
    humidity_percent = IntegerField("Humidity, %", [Optional(), NumberRange(0, 100, "Enter 0 to 100.")])
    lots = StringField("Batch numbers, separated by commas", [LINE])
    note = TextAreaField("Note", [WORDS])


class ColourCardForm(ActForm):
    """A colour as it was mixed for a car, and what its spray-out card said."""

    colour_code = StringField("{Colour} code", [LINE])
    variant = StringField("Variant", [LINE])
    shade = StringField("Shade", [LINE])
    made_on = DayField("Day")
    verdict = RadioField("Beside the car", choices=choices(VERDICT_WORDS), default="")
    photo = FileField("Photo of the card beside the car")
    formula = TextAreaField("Formula", [WORDS])
    coats = IntegerField("Coats on the card", [Optional(), NumberRange(1, 20, "Enter 1 to 20 coats.")])
    light = StringField("Light", [LINE])
    note = TextAreaField("Note", [WORDS])


class StretchForm(ActForm):
    """Where a stretch of a day belongs."""

    begins = ClockField("From")
    ends = ClockField("To")
    where = SelectField("What it was", choices=(), validate_choice=False)
    note = StringField("Note", [LINE])
    reason = SelectField("Reason for the change", choices=choices(WHY_CHOICES), default="")


class AttendanceForm(ActForm):
    """When a person came and went on a day."""

    came = ClockField("Came in")
    went = ClockField("Went home")
    reason = SelectField("Reason for the change", choices=choices(WHY_CHOICES), default="")


class CardLineForm(WordedForm):
    """One line of a paper card; an empty one is skipped."""

    begins = ClockField("From")
    ends = ClockField("To")
    where = SelectField("What it was", choices=(), validate_choice=False)


class PaperCardForm(ActForm):
    """A person's day from a paper card."""

    person = SelectField("Whose card", choices=(), validate_choice=False)
    on = DayField("Day")
    came = ClockField("Came in")
    went = ClockField("Went home")
    lines = FieldList(FormField(CardLineForm), "Lines", min_entries=8, max_entries=30)


def place_choices(stages: Iterable[tuple[int | str, str]]) -> Choices:
    """What a stretch of time may have been: stages first, then what else is done."""
    plain: dict[str, str] = {"": "Choose"}
    plain |= {f"stage:{key}": words for key, words in stages}
    plain |= {what.value: words for what, words in OTHER_WORDS.items()}
    return choices(plain)
