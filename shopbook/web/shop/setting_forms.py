"""Forms of settings that apply from a day. A field is named after its setting; its description is its hint."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from wtforms import BooleanField, Field, Form, IntegerField, RadioField, SelectField, StringField, TextAreaField
from wtforms.validators import NumberRange, Optional, ValidationError

from shopbook.trade.billing.deposits import DepositRule
from shopbook.trade.car.sides import WAY_WORDS
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.units import Kind
from shopbook.trade.pricing import MaterialsRule
from shopbook.trade.pricing.listed import ListFigures
from shopbook.trade.settings import SettingName
from shopbook.web.parts.act import today
from shopbook.web.parts.fields import (
    AmountField,
    DayField,
    Needed,
    PercentField,
    QuantityField,
    SelectChoice,
    said_choices,
)
from shopbook.web.parts.forms import LINE, WORDS, ActForm, choices
from shopbook.web.parts.frame import country

DEPOSIT_WORDS = {
    DepositRule.TAXED_WHEN_TAKEN: "Taxed when taken, with its own invoice",
    DepositRule.HELD: "Held until the final invoice",
}
FIGURE_WORDS = {
    ListFigures.STAY: "keep the same figures",
    ListFigures.CONVERT: "convert the figures once",
}
RULE_WORDS: dict[str, str] = {
    MaterialsRule.REFINISH_HOUR: "Per refinish hour, mixed paint included",
    MaterialsRule.SHELF: "At shelf cost plus {markup}, mixed paint as its own line",
    MaterialsRule.PAINT_LABOUR: "As a percentage of paint {labour}, mixed paint included",
    MaterialsRule.PAINT_HOUR: "Per paint hour, mixed paint as its own line",
}
OWN_RULE_WORDS = {"": "Same as everyone"} | RULE_WORDS
RULE_HINT = "A material without a price never changes this."
Held = Mapping[SettingName, Any]  # a setting is kept as JSON, of the type that its name says
AN_HOUR = "Enter an amount, for example 42 or 42.50."


def whole(label: str, least: int, most: int, hint: str = "") -> IntegerField:
    """A whole number between two bounds."""
    between = NumberRange(least, most, f"Enter a whole number from {least} to {most}.")
    return IntegerField(label, [between], description=hint)


def above_zero(form: Form, field: Field) -> None:
    """A validator: zero is no step to round to."""
    if field.data == 0:
        raise ValidationError("Enter an amount above zero, for example 5, or leave it empty.")


class FromDayForm(ActForm):
    """Figures that apply from a day."""

    from_on = DayField("Applies from", [Optional()], default=today)

    @property
    def day(self) -> date:
        """The day from which what was typed applies."""
        return self.from_on.data or today()


class SettingForm(FromDayForm):
    """A settings page; its fields are named after the settings."""

    @classmethod
    def typed(cls, held: Held) -> dict[str, object]:
        """The form's data from the current settings."""
        return {name.value: value for name, value in held.items()}

    def settings(self) -> dict[SettingName, object]:
        """What was typed, by setting."""
        given = self.clean()
        return {name: given[name] for name in SettingName if name in given}


class MoneyForm(SettingForm):
    """Rules of money."""

    deposit_treatment = SelectField(
        "Deposits are",
        choices=choices(DEPOSIT_WORDS),
        description="With VAT, a deposit for a known repair is usually taxed when you take it.",
    )
    prices_hold_tax = BooleanField("Prices include tax")
    list_figures = RadioField(
        "If you switch this, your price list and hourly rates",
        [Optional()],
        choices=choices(FIGURE_WORDS),
        description="Needed only when you switch. Converted figures keep what the customer pays.",
    )
    adds_changed_tax = BooleanField(
        "Add later tax rate changes to prices approved including tax",
        description="Off: the shop pays the difference.",
    )
    quote_valid_days = whole("{Estimate}s are valid for, days", 1, 365)
    payment_days = whole("Invoices are due within, days", 0, 365, "0 means due at hand-over.")
    allowance_permille = PercentField(
        "A job may exceed the approved total without new approval by, %",
        [Needed("Enter a percentage, or 0 for never.")],
        description="Anything above it is held until approved. 0 is the safe choice.",
    )
    strict_approval = BooleanField("Don’t start the clock on work that is not approved")
    materials_rule = SelectField("Charge paint and materials", choices=said_choices(RULE_WORDS), description=RULE_HINT)
    materials_rule_dealer = SelectField("To dealers", choices=said_choices(OWN_RULE_WORDS))
    materials_rule_fleet = SelectField("To fleets", choices=said_choices(OWN_RULE_WORDS))
    materials_rule_insurer = SelectField("To insurers", choices=said_choices(OWN_RULE_WORDS))
    materials_refinish_hour_minor = AmountField(
        "Materials per refinish hour",
        [Needed(AN_HOUR)],
        description="Mixed paint included. Covers priming, preparing, masking, base and {clear}, unmasking.",
    )
    materials_per_paint_hour_minor = AmountField(
        "Materials per paint hour",
        [Needed(AN_HOUR)],
        description="For all planned paint hours. Mixed paint is its own line.",
    )
    materials_markup_permille = PercentField(
        "{Markup} on materials, %",
        [Needed("Enter a percentage, for example 25.")],
        most=5000,
        description="On shelf cost. Materials without a price use our guess.",
    )
    materials_paint_labour_permille = PercentField(
        "Materials as a share of paint {labour}, %",
        [Needed("Enter a percentage, for example 25.")],
        most=5000,
        description="Mixed paint included.",
    )
    parts_markup_permille = PercentField(
        "{Markup} on parts, %", [Needed("Enter a percentage, for example 25.")], most=5000
    )
    sublet_markup_permille = PercentField(
        "{Markup} on sublet work, %", [Needed("Enter a percentage, for example 25.")], most=5000
    )
    second_panel_touching_permille = PercentField(
        "Paint hours saved on an adjacent panel, %",
        [Needed("Enter a percentage, for example 40.")],
        most=1000,
        description="Of that panel’s own hours: masking and mixing are charged once.",
    )
    second_panel_apart_permille = PercentField(
        "Paint hours saved on a panel elsewhere, %", [Needed("Enter a percentage, for example 20.")], most=1000
    )
    must_bring_minor = AmountField(
        "Break-even per hour sold, after materials",
        [Optional()],
        description="Checked on each {quick_estimate}. Leave empty for the mean of your last three full months.",
    )
    cash_rounding_minor = AmountField(
        "Round cash to",
        [Needed("Enter the smallest coin, for example 0.05, or 0 for no rounding.")],
        description="Your smallest coin, or 0 for no rounding. Invoices stay exact.",
    )
    list_step_minor = AmountField(
        "Round list prices to",
        [Optional(), above_zero],
        description="For example 5. Used when you raise all prices. Leave empty for no rounding.",
    )
    write_off_limit_minor = AmountField(
        "Most the desk may write off per invoice",
        [Optional()],
        description="Leave empty for 5.00. An owner may write off all of it.",
    )
    returned_cheque_fee_minor = AmountField("Fee for a returned {cheque}", [Optional()], description="{fee_law}")
    storage_words = TextAreaField("Storage terms printed on {estimate}s", [WORDS])
    care_words = TextAreaField("Paint care printed on invoices", [WORDS])


class ConditionsForm(SettingForm):
    """The conditions in which the shop sprays."""

    shop_temperature = QuantityField(
        "Usual shop temperature", [Needed("Enter the usual temperature.")], kind=Kind.TEMPERATURE
    )
    has_lamp = BooleanField("We have a drying lamp")
    has_booth = BooleanField("We have a booth that bakes")

    @classmethod
    def typed(cls, held: Held) -> dict[str, object]:
        """The temperature is kept in tenths of a degree Celsius."""
        return super().typed(held) | {"shop_temperature": held[SettingName.SHOP_TEMPERATURE_TENTHS] * 100}

    def settings(self) -> dict[SettingName, object]:
        """RuleBroken for a temperature at which nobody works."""
        tenths = round((self.shop_temperature.data or 0) / 100)
        if not -100 <= tenths <= 500:
            raise RuleBroken("Enter a temperature from −10 to 50 °C (14 to 122 °F).", "shop_temperature")
        return super().settings() | {SettingName.SHOP_TEMPERATURE_TENTHS: tenths}


class DepthForm(SettingForm):
    """Extra features that the shop can switch on."""

    shows_air = BooleanField("Air and waste record")


class SidesForm(SettingForm):
    """How a car's sides are named, from the ways usual in the shop's country."""

    car_sides = SelectField(
        "Call the sides of a car", description="Always as seen sitting in the car, on screen and on paper."
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
        description="Choose another drive, such as a USB stick. Leave empty to keep backups beside the book.",
    )
    backup_days = whole("Keep backups for, days", 1, 3650)
