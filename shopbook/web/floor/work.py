"""The technician's list with its buttons: start, join, pause, done, something else, coming in and going home."""

from datetime import datetime

from flask import g, render_template, request, url_for
from werkzeug.wrappers import Response

from shopbook.queries.diary.later import late_cars
from shopbook.queries.floor.clocks import find_clock_of, find_running
from shopbook.queries.floor.on_clock import OnClock, on_clock
from shopbook.queries.floor.work import list_work
from shopbook.services.act import Act
from shopbook.services.floor.attendance import come_in, go_home
from shopbook.services.floor.clocks import pause_clock, start_on, start_other
from shopbook.services.floor.finishing import finish_stages
from shopbook.trade.floor.words import CLOCKED_ELSE, OTHER_WORDS, OWN_WORDS, ClockWhat, say_running
from shopbook.web.floor import words
from shopbook.web.floor.blueprint import blueprint, floor_of_request
from shopbook.web.floor.kept import clock_stands, named_stages, stages_stand
from shopbook.web.parts.act import Done, act_by_press, does, now, reader, shop_now
from shopbook.web.parts.guards import needs
from shopbook.web.parts.late import may_wait
from shopbook.web.parts.presses import Presses


def ran(since_at: datetime) -> str:
    """How long a clock has run, as it reads: "0:24"."""
    return say_running(int((now() - since_at).total_seconds() // 60))


def my_clock() -> OnClock:
    """The cars that the person's own clock runs on."""
    return on_clock(reader(), find_clock_of(g.actor, floor_of_request().clocks))


@blueprint.get("/")
@needs("floor", "see")
def work() -> str:
    listed = list_work(reader(), g.actor, now(), floor_of_request())
    return render_template(
        "floor/work.html",
        on_clock=my_clock(),
        work=listed,
        late=words.late(late_cars(shop_now(), listed.jobs, now())),
        me=g.actor,
        now=now(),
        device=g.device,
        words=words,
        ran=ran,
        elsewhere=[(what, OTHER_WORDS[what]) for what in CLOCKED_ELSE],
        other_words=OTHER_WORDS,
        own_words=OWN_WORDS,
    )


@blueprint.post("/start")
@needs("floor", "work")
@may_wait("Start", stages_stand)
def start() -> Response:
    stages, second = named_stages(), request.form.get("second", "")

    def doing(act: Act) -> Done:
        start_on(act, stages, second)
        return Done(url_for("floor.stage", stage_id=stages[0]), "Clock running.")

    return act_by_press(doing, url_for("floor.work"))


@blueprint.post("/other")
@needs("floor", "work")
@may_wait("Something else", clock_stands)
def other() -> Response:
    what, here = request.form.get("what", ""), url_for("floor.work")
    # What the service accepted is one of the words.
    doing = does(lambda act: start_other(act, what), here, lambda _: f"{OTHER_WORDS[ClockWhat(what)]}: running.")
    return act_by_press(doing, here)


@blueprint.post("/done")
@needs("floor", "work")
@may_wait("Done", stages_stand)
def done() -> Response:
    stages = named_stages()

    def doing(act: Act) -> Done:
        finished = finish_stages(act, stages)
        return Done(url_for("floor.work"), f"Done as planned: {', '.join(stage.name for stage in finished)}.")

    return act_by_press(doing, url_for("floor.work"))


at_work = Presses(blueprint, "floor", "work", lambda: url_for("floor.work"))
at_work.add("/here", "here", come_in, "Clocked in.", waits=may_wait("I’m here", clock_stands))
at_work.add(
    "/pause",
    "pause",
    pause_clock,
    lambda entry: f"Paused. {words.hours(entry.minutes)} saved." if entry else "Paused. Less than a minute, not saved.",
    waits=may_wait("Pause", clock_stands),
)


@blueprint.post("/home")
@needs("floor", "work")
@may_wait("Going home", clock_stands)
def home() -> Response:
    def doing(act: Act) -> Done:
        if find_running(act.session, act.actor.person_id or 0) is not None:
            pause_clock(act)
        line = go_home(act)
        return Done(url_for("floor.day", on=line.on.isoformat()), "Clocked out. Place any time that is left here.")

    return act_by_press(doing, url_for("floor.work"))
