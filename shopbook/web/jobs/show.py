"""The page of one job, and the buttons on it that need no form of their own."""

from collections.abc import Callable
from typing import TypeVar

from flask import g, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from shopbook.queries.jobs.comebacks import find_first_job
from shopbook.queries.jobs.jobs import get_job, get_job_by_id
from shopbook.queries.jobs.ledger import ledger_of
from shopbook.queries.jobs.sheet import sheet_of
from shopbook.queries.money.job_page import read_job_page
from shopbook.queries.money.next_acts import next_act_of, open_things
from shopbook.queries.shop.log import list_job_log
from shopbook.services.act import Act
from shopbook.services.jobs.doing import refuse_over
from shopbook.services.jobs.drafting import draft_plan
from shopbook.services.jobs.jobs import take_up_again
from shopbook.services.jobs.leaving import mark_ready, take_ready_back, tell_ready
from shopbook.services.jobs.plan_warnings import accept_warning
from shopbook.services.jobs.sample import throw_sample_away
from shopbook.trade.agreeing.words import CALLED_OFF_WORDS
from shopbook.trade.car.part_kinds import PART_KIND_WORDS
from shopbook.trade.purposes import JOB_PURPOSE_WORDS, STAGE_PURPOSE_WORDS
from shopbook.trade.standing import STANDING_TAGS, STANDING_WORDS
from shopbook.web.jobs.routes import blueprint
from shopbook.web.parts.act import Done, act_by_press, now, reader, shop_now
from shopbook.web.parts.guards import needs
from shopbook.web.parts.presses import Presses
from shopbook.web.parts.sections import sections_of

Result = TypeVar("Result")
LOG_LINES = 12
WORDS = {
    "called_off_words": CALLED_OFF_WORDS,
    "part_kind_words": PART_KIND_WORDS,
    "standing_words": STANDING_WORDS,
    "standing_tags": STANDING_TAGS,
    "purpose_words": STAGE_PURPOSE_WORDS,
    "job_purpose_words": JOB_PURPOSE_WORDS,
}


@blueprint.get("/<int:number>")
@needs("jobs", "see")
def show(number: int) -> str:
    page = read_job_page(shop_now(), get_job(reader(), number), now())
    job, sheet = page.job, sheet_of(page.whole, page.shop, now())
    return render_template(
        "jobs/show.html",
        job=job,
        sheet=sheet,
        next=next_act_of(page.whole, sheet.plan, page.accounts, page.stands, page.late, g.actor.roles),
        sections=sections_of(reader(), page),
        log=list_job_log(reader(), job.id, LOG_LINES),
        most_lines=LOG_LINES,
        people=page.shop.person_names,
        today=page.shop.day,
        **WORDS,
        first_number=find_first_job(reader(), job),
        comebacks=[each.number for each in page.whole.comebacks if each.after_id == job.id],
    )


@blueprint.get("/by-id/<int:job_id>")
@needs("jobs", "see")
def by_id(job_id: int) -> Response:
    """Where a page that knows only the row leads on to the job's own page."""
    return redirect(page_of(get_job_by_id(reader(), job_id).number))


def page_of(number: int, anchor: str | None = None) -> str:
    """The address of a job's page."""
    return url_for("jobs.show", number=number, _anchor=anchor)


@blueprint.post("/<int:number>/accept")
@needs("jobs", "change")
def accept(number: int) -> Response:
    code, sentence = request.form.get("code", "")[:200], request.form.get("sentence", "")[:1000]

    def doing(act: Act) -> Done:
        accept_warning(act, get_job(act.session, number).id, code, sentence)
        return Done(page_of(number, "warnings"), "Warning accepted. The log shows who accepted it.")

    return act_by_press(doing, page_of(number))


@blueprint.get("/<int:number>/ready")
@needs("jobs", "change")
def ready_page(number: int) -> str:
    """What is still open on a car, named before it is marked ready."""
    job = get_job(reader(), number)
    refuse_over(job)
    page = read_job_page(shop_now(), job, now())
    (row,) = ledger_of(page.shop, [page.whole], now())
    things = open_things(page.whole, row.plan, page.accounts, page.stands)
    return render_template("jobs/ready.html", job=job, things=things)


@blueprint.post("/<int:number>/ready")
@needs("jobs", "change")
def ready(number: int) -> Response:
    with_open_stages = request.form.get("all_the_same") == "yes"

    def doing(act: Act) -> Done:
        mark_ready(act, get_job(act.session, number).id, with_open_stages=with_open_stages)
        return Done(page_of(number), "Ready. Tell the customer.")

    return act_by_press(doing, page_of(number))


def of_job(service: Callable[[Act, int], Result]) -> Callable[..., Result]:
    """A service of a job's id as one of the number that its address names."""
    return lambda act, number: service(act, get_job(act.session, number).id)


on_job = Presses(blueprint, "jobs", "change", lambda number: page_of(number))
DRAFTED = "Drafted. Stages changed by hand, approved or begun stay as they were."
on_job.add("/<int:number>/draft", "draft", of_job(draft_plan), DRAFTED, lambda number: page_of(number, "plan"))
on_job.add("/<int:number>/not-ready", "not_ready", of_job(take_ready_back), "Back in progress.")
on_job.add("/<int:number>/told", "told", of_job(tell_ready), "Saved. The customer was told.")
on_job.add("/<int:number>/take-up-again", "take_up", of_job(take_up_again), "The job is open again.")
on_sample = Presses(blueprint, "jobs", "change", lambda: url_for("jobs.ledger"))
on_sample.add("/sample/throw-away", "throw_away_sample", throw_sample_away, "The sample is removed.")
