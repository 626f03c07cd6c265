"""The forms of the diary: the days of a job, and who is away."""

from wtforms import BooleanField, SelectField, StringField
from wtforms.validators import Optional

from shopbook.web.parts.fields import DayField, HoursField, Needed
from shopbook.web.parts.forms import HALVES, LINE, ActForm, choices


class PromiseForm(ActForm):
    """When a car comes and when it is promised."""

    drop_off_on = DayField("Drop-off", [Optional()])
    drop_off_half = SelectField("Drop-off time", choices=choices(HALVES))
    promise_on = DayField("Promised for", [Optional()])
    promise_half = SelectField("Promised time", choices=choices(HALVES))


class AwayForm(ActForm):
    """Who is away, from when to when, all day or for some hours."""

    person_id = SelectField("Who", coerce=int, choices=[])
    first = DayField("First day", [Needed("Enter the first day off.")])
    last = DayField("Last day", [Optional()])
    minutes_away = HoursField("Hours away", [Optional()], most=24)
    why = StringField("Reason", [LINE])
    is_unpaid = BooleanField("Not paid")
