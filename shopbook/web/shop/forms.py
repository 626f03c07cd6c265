"""The forms of the first run, of signing in, of one's own account and of people."""

from contextlib import suppress

from wtforms import BooleanField, HiddenField, PasswordField, SelectField, StringField
from wtforms.validators import Length, NoneOf, Optional, Regexp, ValidationError

from shopbook.outside.passwords import GUESSED_PINS, SHORTEST_PASSWORD
from shopbook.trade.car.damage import SKILL_WORDS
from shopbook.trade.countries import in_currency, known_countries, known_country, zone_in
from shopbook.trade.errors import NotFound, ShopbookError
from shopbook.trade.measures.currencies import check_currency
from shopbook.trade.permissions import Role
from shopbook.trade.results.margin import cost_of_an_hour
from shopbook.web.parts.act import today
from shopbook.web.parts.fields import AmountField, DayField, HoursField, Needed, SelectChoice
from shopbook.web.parts.forms import LINE, ActForm, RevisedForm, TicksField, choices

LONGEST_PASSWORD = 200
ROLE_WORDS = {Role.DESK: "Front desk", Role.TECHNICIAN: "Technician", Role.OWNER: "Owner"}
Check = Needed | Optional | Length | NoneOf | Regexp
_GOOD_PASSWORD = Length(
    SHORTEST_PASSWORD,
    LONGEST_PASSWORD,
    f"Choose a password of at least {SHORTEST_PASSWORD} characters. A short sentence works well.",
)
_GOOD_PIN = (
    Regexp(r"[0-9]{4,8}\Z", message="Enter a PIN of 4 to 8 digits."),
    NoneOf(GUESSED_PINS, message="Choose another PIN: 0000 and 1234 are guessed first."),
)


def password_field(label: str, *validators: Check, autocomplete: str = "new-password") -> PasswordField:
    """A password that is not shown again."""
    return PasswordField(label, list(validators), render_kw={"autocomplete": autocomplete})


def pin_field(label: str, *validators: Check) -> PasswordField:
    """A PIN, typed on a number pad."""
    return PasswordField(label, list(validators), render_kw={"inputmode": "numeric", "autocomplete": "off"})


def country_choices() -> list[SelectChoice]:
    """The countries; one of a single time zone says so to the stylesheet, which asks for none then."""
    return [
        SelectChoice(land.code, land.name, {} if len(land.zones) > 1 else {"data-one-zone": True})
        for land in known_countries()
    ]


def zone_choices() -> list[SelectChoice]:
    """Time zones of countries that have several, by country; none is chosen beforehand."""
    return [SelectChoice("", "Choose one")] + [
        SelectChoice(zone, zone.partition("/")[2].replace("_", " ") or zone, {}, land.name)
        for land in known_countries()
        if len(land.zones) > 1
        for zone in land.zones
    ]


class StartForm(ActForm):
    """The three questions of the first run, and who asks to sign in."""

    code = HiddenField()
    country = SelectField(
        "1 · Where is the shop?",
        choices=country_choices,
        default="us",
    )
    shop_name = StringField("2 · What is it called?", [Needed("Enter the shop's name."), LINE])
    hour = StringField("3 · What do you charge per hour?", [Needed("Enter your hourly rate, for example 65."), LINE])
    zone = SelectField("Time zone", choices=zone_choices, default="")
    currency = StringField("Currency", [LINE])
    base = SelectField(
        "Base",
        choices=choices({"": "usual in the country", "water": "waterborne", "solvent": "solvent-borne"}),
        default="",
    )
    owner_name = StringField("Your name", [Needed("Enter your name. You sign in with it."), LINE])
    password = password_field("Your password", _GOOD_PASSWORD)

    def hour_minor(self) -> int:
        """The hourly rate in the chosen currency, or the country's usual; RuleBroken for what is not an amount."""
        country = known_country(self.country.data)
        with suppress(ShopbookError):
            country = in_currency(country, check_currency(self.currency.data or ""))
        return country.read_money(self.hour.data or "", field="hour")

    def validate_zone(self, field: SelectField) -> None:
        """One of the country's, where it has several; of a country of one zone nothing is asked."""
        try:
            zone_in(known_country(self.country.data), field.data or "")
        except NotFound:
            return  # the country itself is refused
        except ShopbookError as error:
            raise ValidationError(error.sentence) from error

    def validate_currency(self, field: StringField) -> None:
        """Three letters, if any."""
        try:
            field.data = check_currency(named) if (named := (field.data or "").strip()) else ""
        except ShopbookError as error:
            raise ValidationError(error.sentence) from error

    def validate_hour(self, field: StringField) -> None:
        """It must be an amount, so that all errors of the page are shown at once."""
        try:
            self.hour_minor()
        except ShopbookError as error:
            raise ValidationError(error.sentence) from error


class SignInForm(ActForm):
    """Name and password, for desk and owner."""

    then = HiddenField()
    name = StringField(
        "Name", [Needed("Enter your name."), LINE], render_kw={"autocomplete": "username", "list": "names"}
    )
    password = password_field("Password", Needed("Enter your password."), autocomplete="current-password")


class PinForm(ActForm):
    """The PIN that changes who uses the device."""

    then = HiddenField()
    pin = pin_field("PIN", Needed("Enter your PIN."))


class FirstGuessedForm(ActForm):
    """A new PIN, in place of one that anyone tries first."""

    then = HiddenField()
    pin = HiddenField()
    """The one that was right: worth nothing to whoever looks over a shoulder, and checked again."""
    fresh = pin_field("New PIN", *_GOOD_PIN)


class DeviceForm(ActForm):
    """What a device that stays signed in is called."""

    name = StringField("What is this device called?", [Needed("Enter a name, for example Phone at bay 1."), LINE])


class OwnPasswordForm(ActForm):
    """A person's own new password."""

    current = password_field(
        "Current password", Needed("Enter your current password."), autocomplete="current-password"
    )
    fresh = password_field("New password", _GOOD_PASSWORD)
    again = password_field("Repeat new password")

    def validate_again(self, field: PasswordField) -> None:
        """Both must be the same."""
        if field.data != self.fresh.data:
            raise ValidationError("The two passwords do not match. Enter the new one again.")


class OwnPinForm(ActForm):
    """A person's own new PIN."""

    current = password_field("Current password or PIN", Needed("Enter your current password or PIN."))
    fresh = pin_field("New PIN", *_GOOD_PIN)


WEEKS_PAID = 52
"""Holidays and days off are paid too, so a year's pay covers all 52 weeks."""


class PersonForm(RevisedForm):
    """One person: roles, skills, cost and sign-in."""

    name = StringField("Name", [Needed("Enter the person's name."), LINE])
    roles = TicksField("Roles", choices=choices(ROLE_WORDS))
    skills = TicksField("Skills", choices=choices(SKILL_WORDS))
    weekly_minutes = HoursField("Usual hours a week", [Optional()], default=2400)
    cost = AmountField("Cost per hour", [Optional()])
    wages = AmountField("Yearly wages", [Optional()])
    on_top = AmountField("Paid on top per year", [Optional()])
    cost_from_on = DayField("Cost applies from", [Optional()], default=today)
    password = password_field("New password", Optional(), _GOOD_PASSWORD)
    pin = pin_field("New PIN", Optional(), *_GOOD_PIN)
    is_active = BooleanField("Works here", default=True)

    def cost_minor(self) -> int | None:
        """What an hour costs: a year's pay over 52 of the usual weeks where that was typed, else the cost as typed.

        RuleBroken for a year's pay and no hours in the week.
        """
        if not self.wages.data:
            return self.cost.data
        return cost_of_an_hour(self.wages.data, [self.on_top.data or 0], (self.weekly_minutes.data or 0) * WEEKS_PAID)

    def validate_roles(self, field: TicksField) -> None:
        """One role at least."""
        if not field.data:
            raise ValidationError("Choose at least one role.")
