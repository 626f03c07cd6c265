"""The blueprint of the diary and its week."""

from datetime import date, timedelta

from flask import Blueprint, render_template, request, url_for

from shopbook.queries.diary.week import get_week
from shopbook.queries.jobs.jobs import job_standing
from shopbook.trade.car.damage import SKILL_WORDS
from shopbook.trade.standing import STANDING_TAGS, STANDING_WORDS
from shopbook.web.parts.act import now, reader, shop_now
from shopbook.web.parts.guards import needs

blueprint = Blueprint("diary", __name__, url_prefix="/diary")
WEEK = timedelta(days=7)


@blueprint.get("/")
@needs("diary", "see")
def week() -> str:
    today = shop_now().day
    shown = get_week(reader(), _asked_day() or today, now(), shop_now())
    this_monday = today - timedelta(days=today.weekday())
    return render_template(
        "diary/week.html",
        week=shown,
        today=today,
        skill_words=SKILL_WORDS,
        standing_of=job_standing,
        standing_words=STANDING_WORDS,
        standing_tags=STANDING_TAGS,
        earlier=week_url(shown.monday - WEEK),
        later=week_url(shown.monday + WEEK),
        this_week=None if shown.monday == this_monday else week_url(this_monday),
    )


def week_url(day: date) -> str:
    """The week that holds a day, at that day."""
    return url_for("diary.week", day=day.isoformat(), _anchor=f"day-{day.isoformat()}")


def _asked_day() -> date | None:
    """The day in the address; one that cannot be read, or is far off, is passed over."""
    try:
        day = date.fromisoformat(request.args.get("day", ""))
    except ValueError:
        return None
    return day if 2000 <= day.year <= 2200 else None
