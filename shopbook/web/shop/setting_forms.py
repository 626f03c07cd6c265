"""The forms of the settings that hold from a day; a field's name is the setting's, its description its hint."""

from collections.abc import Mapping
from datetime import date, time
from typing import Any

from wtforms import BooleanField, IntegerField, RadioField, SelectField, StringField, TextAreaField
from wtforms.validators import NumberRange, Optional

from shopbook.trade.billing.deposits import DepositRule
from shopbook.trade.car.sides import WAY_WORDS
from shopbook.trade.diary.opening import DayHours
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.locales import weekday_names
from shopbook.trade.measures.units import Kind
from shopbook.trade.pricing import MaterialsRule
from shopbook.trade.pricing.listed import ListFigures
from shopbook.trade.settings import SettingName
from shopbook.web.parts.act import today
from shopbook.web.parts.fields import (
    AmountField,
    ClockField,
    DayField,
    Needed,
    PercentField,
    QuantityField,
    SelectChoice,
)
from shopbook.web.parts.forms import LINE, WORDS, ActForm, choices
from shopbook.web.parts.frame import country

DEPOSIT_WORDS = {
    DepositRule.TAXED_WHEN_TAKEN: "Taxed when taken, with an invoice of its own",
    DepositRule.HELD: "Held until the final invoice",
}
FIGURE_WORDS = {
    ListFigures.STAY: "stay as typed and mean the other",
    ListFigures.CONVERT: "are converted once",
}
RULE_CHOICES = [
    SelectChoice(MaterialsRule.REFINISH_HOUR, "By the refinish hour, colour included"),
    SelectChoice(MaterialsRule.SHELF, "At shelf cost and a mark-up, colour as its own line"),
    SelectChoice(MaterialsRule.PAINT_LABOUR, "As a percentage of paint labour, colour included"),
    SelectChoice(MaterialsRule.PAINT_HOUR, "By the paint hour, colour as its own line"),
]
OWN_RULE_CHOICES = [SelectChoice("", "As to everybody"), *RULE_CHOICES]
RULE_HINT = "A material without a price never changes this rule."
Held = Mapping[SettingName, Any]  # a setting is kept as JSON, of the type that its name says
AN_HOUR = "Type an amount, for example 42 or 42.50."


def whole(label: str, least: int, most: int, hint: str = "") -> IntegerField:
    """A whole number between two bounds."""
    between = NumberRange(least, most, f"Type a whole number from {least} to {most}.")
    return IntegerField(label, [between], description=hint)


class FromDayForm(ActForm):
    """Figures that hold from a day."""

    from_on = DayField("Applies from", [Optional()], default=today)

    @property
    def day(self) -> date:
        """The day from which what was typed holds."""
        return self.from_on.data or today()


class SettingForm(FromDayForm):
    """A page of settings; its fields bear the settings' names."""

    @classmethod
    def typed(cls, held: Held) -> dict[str, object]:
        """The form's data from the settings that hold."""
        return {name.value: value for name, value in held.items()}

    def settings(self) -> dict[SettingName, object]:
        """What was typed, by setting."""
        given = self.clean()
        return {name: given[name] for name in SettingName if name in given}


class HoursForm(SettingForm):
    """The week's opening hours and lunch."""

    lunch_begins = ClockField("Lunch begins", [Optional()])
    lunch_ends = ClockField("Lunch ends", [Optional()])

    def offer(self) -> None:
        # Not at import: a start asks the locale data for nothing.
        for weekday, name in enumerate(weekday_names()):
            self[f"opens_{weekday}"].label.text = f"{name} opens"
            self[f"closes_{weekday}"].label.text = f"{name} closes"

    @classmethod
    def typed(cls, held: Held) -> dict[str, object]:
        week, lunch = held[SettingName.OPENING_HOURS], held[SettingName.LUNCH] or [None, None]
        data: dict[str, object] = {"lunch_begins": _clock(lunch[0]), "lunch_ends": _clock(lunch[1])}
        for weekday in range(7):
            opens, closes = week.get(str(weekday), [None, None])
            data |= {f"opens_{weekday}": _clock(opens), f"closes_{weekday}": _clock(closes)}
        return data

    def settings(self) -> dict[SettingName, object]:
        """RuleBroken, naming the field, for a week without a day that is open, a day that closes before it opens, or a
        lunch outside every day."""
        given = self.clean()
        lunch = [given["lunch_begins"], given["lunch_ends"]]
        week = {weekday: (given[f"opens_{weekday}"], given[f"closes_{weekday}"]) for weekday in range(7)}
        open_days = {weekday: ends for weekday, ends in week.items() if ends != (None, None)}
        if not open_days:
            raise RuleBroken("Give the hours of one day at least: all work is planned into them.", "opens_0")
        for weekday, (opens, closes) in open_days.items():
            _check_day(weekday, opens, closes)
        _check_lunch(lunch, list(open_days.values()))
        return {
            SettingName.OPENING_HOURS: {str(day): [_text(end) for end in ends] for day, ends in open_days.items()},
            SettingName.LUNCH: [_text(end) for end in lunch] if lunch[0] else [],
        }


for _weekday in range(7):
    setattr(HoursForm, f"opens_{_weekday}", ClockField("Opens", [Optional()]))
    setattr(HoursForm, f"closes_{_weekday}", ClockField("Closes", [Optional()]))


def _clock(text: str | None) -> time | None:
    return time.fromisoformat(text) if text else None


def _text(clock: time) -> str:
    return clock.strftime("%H:%M")


def _check_day(weekday: int, opens: time | None, closes: time | None) -> None:
    if opens is None or closes is None:
        raise RuleBroken("Give both times, or leave both empty for a closed day.", f"opens_{weekday}")
    try:
        DayHours(opens, closes)
    except RuleBroken as broken:
        raise RuleBroken(broken.sentence, f"closes_{weekday}") from broken


def _check_lunch(lunch: list[time | None], days: list[tuple[time, time]]) -> None:
    if lunch == [None, None]:
        return
    if None in lunch:
        raise RuleBroken("Give both the beginning and the end of lunch, or neither.", "lunch_begins")
    begins, ends = lunch
    assert begins is not None
    assert ends is not None
    if begins >= ends or not any(opens < begins and ends < closes for opens, closes in days):
        raise RuleBroken("Lunch must lie between opening and closing.", "lunch_begins")


class MoneyForm(SettingForm):
    """Rules of money."""

    deposit_treatment = SelectField(
        "A deposit is",
        choices=choices(DEPOSIT_WORDS),
        description="With VAT, money for a known repair is usually taxed when it is taken. Ask your accountant.",
    )
    prices_hold_tax = BooleanField("Prices are said and written with tax in them")
    list_figures = RadioField(
        "If you switch that, your price list and hourly rates",
        [Optional()],
        choices=choices(FIGURE_WORDS),
        description="Asked only when it is switched. Converted figures keep what the customer pays.",
    )
    adds_changed_tax = BooleanField(
        "Where a price was approved with tax in it, add a tax rate that changed since",
        description="Off: the shop bears the change.",
    )
    quote_valid_days = whole("A quote is valid for, days", 1, 365)
    payment_days = whole("Invoices are to be paid within, days", 0, 365, "Zero: at hand-over.")
    allowance_permille = PercentField(
        "A job may pass the agreed sum without a further yes by, %",
        [Needed("Type a percentage; 0 for never.")],
        description="What passes it is held until somebody says yes. Zero is the careful choice.",
    )
    strict_approval = BooleanField("Refuse a clock on work without a yes, where the law asks for it")
    materials_rule = SelectField("Paint and materials are charged", choices=RULE_CHOICES, description=RULE_HINT)
    materials_rule_dealer = SelectField("To dealers", choices=OWN_RULE_CHOICES)
    materials_rule_fleet = SelectField("To fleets", choices=OWN_RULE_CHOICES)
    materials_rule_insurer = SelectField("To insurers", choices=OWN_RULE_CHOICES)
    materials_refinish_hour_minor = AmountField(
        "Materials for a refinish hour",
        [Needed(AN_HOUR)],
        description="Colour included. Refinish hours are prime, prepare, mask, base and clear, unmask.",
    )
    materials_per_paint_hour_minor = AmountField(
        "Materials for a paint hour",
        [Needed(AN_HOUR)],
        description="Paint hours are all planned hours of painting. Colour is a line of its own.",
    )
    materials_markup_permille = PercentField(
        "Added to what materials cost, %",
        [Needed("Type a percentage.")],
        most=5000,
        description="On shelf cost. Our guess stands in for a material without a price.",
    )
    materials_paint_labour_permille = PercentField(
        "Materials as a part of paint labour, %",
        [Needed("Type a percentage.")],
        most=5000,
        description="Colour included.",
    )
    parts_markup_permille = PercentField("Added to what parts cost, %", [Needed("Type a percentage.")], most=5000)
    sublet_markup_permille = PercentField("Added to sublet work, %", [Needed("Type a percentage.")], most=5000)
    second_panel_touching_permille = PercentField(
        "A further painted panel that touches another saves, %",
        [Needed("Type a percentage, such as 40.")],
        most=1000,
        description="Of its own paint hours. Masking and mixing are then paid once.",
    )
    second_panel_apart_permille = PercentField(
        "One elsewhere on the car saves, %", [Needed("Type a percentage, such as 20.")], most=1000
    )
    must_bring_minor = AmountField(
        "What an hour must bring after materials",
        [Optional()],
        description="A price at the kerb is measured against it. Left empty: nine tenths of the hour’s rate, a guess.",
    )
    cash_rounding_minor = AmountField(
        "Cash is rounded to",
        [Needed("Type the smallest coin, such as 0.05; 0 for no rounding.")],
        description="The smallest coin; zero for no rounding. It is a difference of payment, never a line.",
    )
    write_off_limit_minor = AmountField(
        "The desk may write off, of an invoice, up to",
        [Optional()],
        description="Leave empty for 5.00. An owner may write off all of it.",
    )
    storage_words = TextAreaField("Words about storage, on a quote", [WORDS])
    care_words = TextAreaField("Care of new paint, on an invoice", [WORDS])


class ConditionsForm(SettingForm):
    """What the shop is like to spray in."""

    shop_temperature = QuantityField(
        "Usual temperature of the shop", [Needed("Type a temperature.")], kind=Kind.TEMPERATURE
    )
    has_lamp = BooleanField("There is a drying lamp")
    has_booth = BooleanField("There is a booth that can bake")

    @classmethod
    def typed(cls, held: Held) -> dict[str, object]:
        """The temperature is kept in tenths of a degree Celsius."""
        return super().typed(held) | {"shop_temperature": held[SettingName.SHOP_TEMPERATURE_TENTHS] * 100}

    def settings(self) -> dict[SettingName, object]:
        """RuleBroken for a temperature at which nobody works."""
        tenths = round((self.shop_temperature.data or 0) / 100)
        if not -100 <= tenths <= 500:
            raise RuleBroken("That is no temperature that a shop has.", "shop_temperature")
        return super().settings() | {SettingName.SHOP_TEMPERATURE_TENTHS: tenths}


class DepthForm(SettingForm):
    """What is shown beyond the everyday."""

    shows_air = BooleanField("Air and waste record")


class SidesForm(SettingForm):
    """How a car's sides are told apart, of the ways that are said in the shop's country."""

    car_sides = SelectField(
        "The sides of a car are called", description="Always as sitting in the car, on screen and on paper."
    )

    def offer(self) -> None:
        self.car_sides.choices = [SelectChoice(way, WAY_WORDS[way]) for way in country().side_ways]

    @classmethod
    def typed(cls, held: Held) -> dict[str, object]:
        """What the shop chose, or what is usual in its country."""
        return super().typed(held) | {"car_sides": held[SettingName.CAR_SIDES] or country().usual_sides}


class CopiesForm(SettingForm):
    """Where a backup of the book goes every day."""

    backup_folder = StringField(
        "Folder for the daily backup",
        [LINE],
        description="On another disk: a stick, a second drive, a folder that another machine keeps. Empty: no copy.",
    )
    backup_days = whole("Copies are kept for, days", 1, 3650)
