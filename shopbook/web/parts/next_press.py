"""What comes next of a job as a press: its words and its address, the same on Today, in the list and on the job's page.

Which act it is decides `trade/next_act.py`; `templates/jobs/_next_press.html` draws what is made here.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Protocol

from flask import Flask, g, url_for

from shopbook.trade.next_act import NextAct, NextStep
from shopbook.trade.permissions import Role
from shopbook.web.parts.act import today
from shopbook.web.parts.kept_day import kept_day
from shopbook.web.parts.rows import Job


@dataclass(frozen=True, slots=True)
class NextPress:
    """The press of a next act: it only leads to its address where `fields` is None, else it sends them there."""

    words: str
    url: str
    fields: Mapping[str, str] | None = None


def install(app: Flask) -> None:
    """Give every template the press of a next act."""
    app.jinja_env.globals["next_press"] = next_press


class Way(Protocol):
    """How a press is made of a job and its next act."""

    def __call__(self, job: Job, following: NextAct, /) -> NextPress: ...


def next_press(job: Job, following: NextAct) -> NextPress | None:
    """The press for the person who asks; None where there is nothing to press or it is another's to do."""
    needed, way = _OF.get(following.act, (None, None))
    return way(job, following) if needed and way and g.actor.may(*needed) else None


def _leads(endpoint: str, anchor: str | None = None) -> Way:
    def way(job: Job, following: NextAct) -> NextPress:
        return NextPress(following.words, url_for(endpoint, number=job.number, _anchor=anchor))

    return way


def _leads_to_estimate(endpoint: str) -> Way:
    return lambda _, following: NextPress(following.words, url_for(endpoint, quote_id=following.quote_id))


def _sends(endpoint: str) -> Way:
    return lambda job, following: NextPress(following.words, url_for(endpoint, number=job.number), {})


def _set_day(job: Job, following: NextAct) -> NextPress:
    if following.late is None:
        raise ValueError("a day is set for a late promise alone")
    kept = kept_day(job, following.late, today())
    return NextPress(kept.words, url_for("diary.take", number=job.number), kept.fields)


def _mark_ready(job: Job, following: NextAct) -> NextPress:
    """What is still open is looked at first."""
    return (_leads if following.open_things else _sends)("jobs.ready")(job, following)


def _work(job: Job, following: NextAct) -> NextPress:
    """A technician goes to the stage, where its clock is started; others see the plan."""
    if Role.TECHNICIAN in g.actor.roles:
        return NextPress("Open the stage", url_for("floor.stage", stage_id=following.stage_id))
    return NextPress("See the plan", url_for("jobs.show", number=job.number, _anchor="plan"))


_OF: dict[NextStep, tuple[tuple[str, str], Way]] = {
    NextStep.SET_DAY: (("diary", "change"), _set_day),
    NextStep.WORK: (("jobs", "see"), _work),
    NextStep.CHECK_IN: (("jobs", "change"), _leads("jobs.check_in")),
    NextStep.LOOK: (("jobs", "change"), _leads("jobs.new_damage")),
    NextStep.PLAN: (("jobs", "change"), _sends("jobs.draft")),
    NextStep.MARK_READY: (("jobs", "change"), _mark_ready),
    NextStep.TELL: (("reports", "today"), _leads("reports.tell")),
    NextStep.PRICE: (("money", "change"), _sends("money.draft")),
    NextStep.GIVE: (("money", "change"), _leads_to_estimate("money.quote")),
    NextStep.ANSWER: (("money", "change"), _leads_to_estimate("money.quote")),
    NextStep.SEND: (("money", "change"), _leads_to_estimate("money.share")),
    NextStep.INVOICE: (("money", "change"), _leads("money.invoice_preview")),
    NextStep.FURTHER: (("money", "change"), _leads("money.invoice_preview")),
    NextStep.PAY: (("money", "change"), _leads("money.pay")),
    NextStep.HAND_OVER: (("money", "change"), _sends("money.hand_over")),
    NextStep.GIVE_BACK: (("money", "change"), _leads("jobs.show", "money")),
}
