"""Days on which the shop is closed besides its weekly hours. Public holidays are offered, never imposed."""

from datetime import date, timedelta

from flask import request, url_for
from werkzeug.wrappers import Response
from wtforms import StringField

from shopbook.outside.holidays_of import public_holidays
from shopbook.queries.shop.book import list_closed_days
from shopbook.services.shop.book import close_days, open_day
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.days import DateForm, parse_day
from shopbook.web.parts import Act, Answer, Done, act_by_form, act_by_press, country, needs, reader, today
from shopbook.web.parts.fields import DayField, Needed
from shopbook.web.parts.forms import LINE, ActForm
from shopbook.web.shop.routes import blueprint

AHEAD = timedelta(days=400)
LONGEST = 100


class ClosedForm(ActForm):
    """From a day to a day."""

    first = DayField("First day", [Needed("Enter the first day.")])
    last = DayField("Last day")
    why = StringField("Reason", [LINE], description="For example, summer break. You can leave it empty.")

    def days(self) -> dict[date, str]:
        """Every day of it with its reason; RuleBroken when the last comes before the first or it is far too long."""
        first, last = self.first.given, self.last.data or self.first.given
        count = (last - first).days + 1
        if count < 1:
            raise RuleBroken("The last day cannot be before the first.", "last")
        if count > LONGEST:
            raise RuleBroken(f"Enter at most {LONGEST} days at once.", "last")
        return {first + timedelta(days=place): self.why.data or "" for place in range(count)}


@blueprint.route("/settings/closed-days", methods=["GET", "POST"])
@needs("shop", "set")
def closed_days() -> Answer:
    form, first = ClosedForm(), today()
    closed = list_closed_days(reader(), first - timedelta(days=31), first + AHEAD)
    offered = public_holidays(country(), first, first + AHEAD)

    def doing(act: Act) -> Done:
        count = close_days(act, form.days())
        return Done(url_for("shop.closed_days"), f"Closed on {count} more day{'s' if count != 1 else ''}.")

    known = {row.closed_on for row in closed}
    fresh = {day: name for day, name in offered.items() if day not in known}
    return act_by_form(form, "shop/closed_days.html", doing, closed=closed, offered=fresh)


@blueprint.post("/settings/closed-days/public")
@needs("shop", "set")
def public_days() -> Response:
    """Close on one offered public holiday, or on all of them."""
    first = today()
    offered = public_holidays(country(), first, first + AHEAD)
    wanted = request.form.get("day")
    days = {day: name for day, name in offered.items() if wanted in (None, day.isoformat())}

    def doing(act: Act) -> Done:
        count = close_days(act, days)
        return Done(url_for("shop.closed_days"), f"Closed on {count} more day{'s' if count != 1 else ''}.")

    return act_by_press(doing, url_for("shop.closed_days"))


@blueprint.post("/settings/closed-days/open")
@needs("shop", "set")
def open_again() -> Response:
    def doing(act: Act) -> Done:
        open_day(act, parse_day(request.form.get("day", ""), DateForm.YEAR_FIRST))
        return Done(url_for("shop.closed_days"), "Open again on that day.")

    return act_by_press(doing, url_for("shop.closed_days"))
