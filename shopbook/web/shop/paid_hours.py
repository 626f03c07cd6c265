"""How each person is paid, by attendance or by the week, and what comes on top of wages; both from a day."""

from collections.abc import Sequence

from flask import url_for
from wtforms import RadioField
from wtforms.validators import Optional

from shopbook.queries.shop.house_costs import list_paid_weeks
from shopbook.queries.shop.people import costs_on, get_person
from shopbook.services.shop.paid_weeks import set_paid_week
from shopbook.services.shop.rates import set_settings
from shopbook.trade.errors import RuleBroken
from shopbook.trade.results.paid_hours import WEEKDAYS, PaidWeek, week_on
from shopbook.trade.settings import SettingName
from shopbook.web.parts import Act, Answer, Done, act_by_form, day_text, needs, reader, shop_now, today
from shopbook.web.parts.fields import HoursField, Needed, PercentField
from shopbook.web.parts.forms import TicksField, choices
from shopbook.web.shop.routes import blueprint
from shopbook.web.shop.setting_forms import FromDayForm

ATTENDANCE, WEEK = "attendance", "week"
WAYS = {ATTENDANCE: "By attendance", WEEK: "By the week"}
_MONDAY_TO_FRIDAY = ("0", "1", "2", "3", "4")


class OnCostsForm(FromDayForm):
    """What comes on top of wages."""

    on_costs_permille = PercentField(
        "On-costs on top of wages, %",
        [Needed("Enter a percentage, or 0 where the cost per hour holds them already.")],
        description="Employer’s taxes and insurance that the cost per hour does not include.",
    )


class PaidWeekForm(FromDayForm):
    """How one person is paid."""

    way = RadioField("Paid", choices=choices(WAYS), default=ATTENDANCE)
    weekly_minutes = HoursField("Hours a week", [Optional()])
    weekdays = TicksField("Usual days", choices=choices({str(place): day for place, day in enumerate(WEEKDAYS)}))

    def minutes(self) -> int | None:
        """Paid minutes a week; None by attendance. RuleBroken for a week without its hours."""
        if self.way.data == ATTENDANCE:
            return None
        if self.weekly_minutes.data is None:
            raise RuleBroken("Enter the hours paid a week, for example 40 or 37.5.", "weekly_minutes")
        return self.weekly_minutes.data


@blueprint.route("/settings/paid-hours", methods=["GET", "POST"])
@needs("shop", "set")
def paid_hours() -> Answer:
    form = OnCostsForm(data={"on_costs_permille": shop_now().settings[SettingName.ON_COSTS_PERMILLE]})
    weeks, costs = list_paid_weeks(reader()), costs_on(reader(), today())

    def doing(act: Act) -> Done:
        set_settings(act, {SettingName.ON_COSTS_PERMILLE: form.on_costs_permille.given}, form.day)
        return Done(url_for("shop.paid_hours"), "On-costs saved.")

    told = {person.id: _told(weeks.get(person.id, [])) for person in shop_now().people}
    return act_by_form(form, "shop/paid_hours.html", doing, people=shop_now().people, told=told, costs=costs)


@blueprint.route("/settings/paid-hours/<int:person_id>", methods=["GET", "POST"])
@needs("shop", "set")
def paid_week(person_id: int) -> Answer:
    known, weeks = get_person(reader(), person_id), list_paid_weeks(reader()).get(person_id, [])
    form = PaidWeekForm(data=_typed(week_on(weeks, today())))

    def doing(act: Act) -> Done:
        days = [int(day) for day in form.weekdays.data or ()]
        set_paid_week(act, person_id, weekly_minutes=form.minutes(), weekdays=days, from_on=form.day)
        return Done(url_for("shop.paid_hours"), f"Paid hours of {known.name} saved.")

    lines = [(day_text(week.from_on), week_words(week)) for week in reversed(weeks)]
    return act_by_form(form, "shop/paid_week.html", doing, known=known, lines=lines)


def _typed(week: PaidWeek) -> dict[str, object]:
    days = [str(day) for day in sorted(week.weekdays)] or list(_MONDAY_TO_FRIDAY)
    is_by_week = week.weekly_minutes is not None
    return {"way": WEEK if is_by_week else ATTENDANCE, "weekly_minutes": week.weekly_minutes, "weekdays": days}


def _told(weeks: Sequence[PaidWeek]) -> str:
    """How a person is paid today, and from when otherwise."""
    later = [week for week in weeks if week.from_on > today()]
    changes = [f"from {day_text(week.from_on)}: {week_words(week)}" for week in later]
    return " · ".join([week_words(week_on(weeks, today())), *changes])


def week_words(week: PaidWeek) -> str:
    """ "25 h a week, Monday to Wednesday" or "by attendance"."""
    if week.weekly_minutes is None:
        return "by attendance"
    return f"{week.weekly_minutes / 60:g} h a week{_days_words(sorted(week.weekdays))}"


def _days_words(days: Sequence[int]) -> str:
    if not days:
        return ""
    if len(days) > 2 and days[-1] - days[0] == len(days) - 1:
        return f", {WEEKDAYS[days[0]]} to {WEEKDAYS[days[-1]]}"
    return ", " + ", ".join(WEEKDAYS[day] for day in days)
