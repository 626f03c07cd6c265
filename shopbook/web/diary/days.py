"""The days of one job: typed, or as the diary suggests; and the suggestion on the page of the job."""

from collections.abc import Mapping
from datetime import date
from typing import TypedDict

from flask import request, url_for
from sqlalchemy.orm import Session
from werkzeug.wrappers import Response

from shopbook.queries.diary.later import late_by
from shopbook.queries.diary.suggest import Suggestion, suggest_for
from shopbook.queries.jobs.jobs import get_job
from shopbook.queries.jobs.whole import WholeJob, whole_job
from shopbook.queries.money.job_page import JobPage
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.services.jobs.doing import refuse_over
from shopbook.services.jobs.jobs import plan_days
from shopbook.trade.diary.opening import HalfDay
from shopbook.trade.measures.days import DateForm, parse_day
from shopbook.trade.measures.half_days import half_day_end
from shopbook.web.diary.forms import PromiseForm
from shopbook.web.diary.routes import blueprint, week_url
from shopbook.web.parts import Act, Answer, Done, act_by_form, act_by_press, country, needs, now, reader, shop_now
from shopbook.web.parts.forms import HALVES
from shopbook.web.parts.frame import promise_text
from shopbook.web.parts.rows import Job
from shopbook.web.parts.sections import Where, job_section

_DAYS = ("drop_off_on", "drop_off_half", "promise_on", "promise_half")


@blueprint.route("/jobs/<int:number>", methods=["GET", "POST"])
@needs("diary", "change")
def days(number: int) -> Answer:
    job = get_job(reader(), number)
    refuse_over(job)
    form, offer = PromiseForm(obj=job), offer_of(whole_job(reader(), job), shop_now())

    def keep(act: Act) -> Done:
        given = form.clean()
        changed = plan_days(act, job.id, *(given[each] for each in _DAYS))
        if _is_sooner(changed, offer["fields"]):
            return Done(
                url_for("jobs.show", number=number, _anchor="days"), "Saved. The diary expects it to be ready later."
            )
        return Done(week_url(changed.promise_on or changed.drop_off_on or act.day), "Saved.")

    return act_by_form(form, "diary/days.html", keep, job=job, offer=offer)


@blueprint.post("/jobs/<int:number>/take")
@needs("diary", "change")
def take(number: int) -> Response:
    """The days as they stood on the page: what the customer was told is what is saved."""
    given, here = request.form, url_for("jobs.show", number=number)

    def keep(act: Act) -> Done:
        job = get_job(act.session, number)
        plan_days(
            act,
            job.id,
            typed_day(given.get("drop_off_on", "")) or job.drop_off_on,
            typed_half(given.get("drop_off_half", "")) or job.drop_off_half,
            typed_day(given.get("promise_on", "")),
            typed_half(given.get("promise_half", "")),
        )
        there = url_for("diary.later", number=number) if given.get("told") == "text" else here
        return Done(there, "Saved. Tell the customer.")

    return act_by_press(keep, here)


@job_section("diary/_job_days.html", Where.LEAD, order=5)
def _job_days(_: Session, page: JobPage) -> Mapping[str, object] | None:
    """The promise beside what comes next: late or kept, with the day that can be kept."""
    if page.offered is not None:
        return {"offer": say_offer(page.job, page.offered, page.shop), "kept": None}
    return (
        {"offer": None, "kept": _is_kept(page.job, page.shop)}
        if page.job.ready_at and not page.job.called_off_at
        else None
    )


def _is_kept(job: Job, shop: ShopOn) -> bool | None:
    """Whether a car was ready by the half-day that was promised; None where none was."""
    if job.promise_on is None or job.ready_at is None:
        return None
    day = shop.opening.add_working_days(job.promise_on, 0)
    return job.ready_at <= shop.opening.end_of_half(day, HalfDay(job.promise_half or HalfDay.AFTERNOON))


class DayOffer(TypedDict):
    """What a page says of the days that the diary offers; `fields` is what its button sends."""

    words: str
    why: str
    odds: str
    promised: str
    late: str
    taken: bool
    fields: dict[str, str]


def offer_of(whole: WholeJob, shop: ShopOn) -> DayOffer:
    """What the diary suggests for a job, beside what is promised."""
    return say_offer(whole.job, suggest_for(whole, shop, now()), shop)


def say_offer(job: Job, offered: Suggestion, shop: ShopOn) -> DayOffer:
    """The same of what the diary was asked already."""
    form = country().date_form
    made, late = offered.promise, late_by(job, offered)
    return DayOffer(
        words=offered.words(shop.day, form),
        why=offered.sentence,
        odds=offered.odds(shop.day, form),
        promised=promise_text(job),
        late=late.tag_words(shop.day, form) if late else "",
        taken=made is not None and (job.promise_on, job.promise_half) == (made.collect_on, made.collect_half),
        fields=_fields(offered),
    )


def _fields(offered: Suggestion) -> dict[str, str]:
    made = offered.promise
    if made is None:
        return {}
    back = {"promise_on": made.collect_on.isoformat(), "promise_half": str(made.collect_half)}
    if offered.is_here:
        return back
    return back | {"drop_off_on": made.drop_off_on.isoformat(), "drop_off_half": str(made.drop_off_half)}


def _is_sooner(job: Job, fields: Mapping[str, str]) -> bool:
    """Whether a job is promised before the day that the diary suggested: its own page then says why that is late."""
    if job.promise_on is None or "promise_on" not in fields:
        return False
    offered = half_day_end(date.fromisoformat(fields["promise_on"]), fields["promise_half"])
    return half_day_end(job.promise_on, job.promise_half) < offered


def typed_day(text: str) -> date | None:
    """A day of a hidden field, as a page wrote it; None for nothing, RuleBroken for what is no day."""
    return parse_day(text, DateForm.YEAR_FIRST, field="promise_on") if text else None


def typed_half(text: str) -> str:
    """A half of a hidden field; any time of the day for anything else."""
    return text if text in HALVES else ""
