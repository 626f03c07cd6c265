"""One finished stretch of a person's time becomes a ledger line: split over its stages, costed on the day."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta

from sqlalchemy.orm import Session

from shopbook.models.floor import ClockEntry, ClockShare
from shopbook.models.jobs import Stage
from shopbook.queries.floor.entries import list_entries
from shopbook.queries.jobs.jobs import list_jobs_by_id
from shopbook.queries.jobs.plans import get_bare_stages
from shopbook.queries.shop.days import day_of
from shopbook.queries.shop.people import cost_on
from shopbook.services.act import Act
from shopbook.services.postings import post_clock
from shopbook.trade.errors import NotAllowed, RuleBroken
from shopbook.trade.floor.hours import Interval, labour_cost, split_minutes
from shopbook.trade.floor.readiness import NEEDS_APPROVAL
from shopbook.trade.floor.words import ClockWhat
from shopbook.trade.measures.amounts import share_out
from shopbook.trade.permissions import Actor


@dataclass(frozen=True, slots=True)
class Doing:
    """What a stretch of time was: work on stages (of one or several jobs), or something else in the shop."""

    what: ClockWhat = ClockWhat.STAGE
    stage_ids: tuple[int, ...] = ()
    note: str = ""

    def __post_init__(self) -> None:
        if (self.what is ClockWhat.STAGE) != bool(self.stage_ids):
            raise RuleBroken("Choose the stage, or what else was done.", "what")


def write_entry(
    act: Act,
    person_id: int,
    interval: Interval,
    doing: Doing,
    *,
    reason: str = "",
    is_typed: bool = False,
) -> ClockEntry | None:
    """Write a stretch of time with a share for each stage; None, and no line, for less than a minute.

    Minutes go by the stages' planned minutes; the cost is the person's hourly cost on the day, and both sum exactly.
    RuleBroken when the day is in a closed month.
    """
    if not interval.minutes:
        return None
    day = day_of(act.session, interval.begins_at)
    stages = get_bare_stages(act.session, doing.stage_ids)
    entry = ClockEntry(
        person_id=person_id,
        at=act.moment,
        on=day,
        started_at=interval.begins_at,
        stopped_at=interval.ends_at,
        minutes=interval.minutes,
        what=doing.what,
        note=doing.note,
        reason=reason,
        is_typed=is_typed,
        by_person_id=act.actor.person_id,
    )
    cost = labour_cost(interval.minutes, cost_on(act.session, person_id, day))
    return post_clock(act.session, entry, _shares(stages, interval.minutes, cost))


def _shares(stages: Sequence[Stage], minutes: int, cost_minor: int) -> list[ClockShare]:
    parts = split_minutes(minutes, [stage.planned_minutes for stage in stages])
    return [
        ClockShare(
            stage_id=stage.id,
            job_id=stage.job_id,
            minutes=part,
            cost_minor=cost,
            is_agreed=stage.agreed_at is not None or stage.purpose not in NEEDS_APPROVAL,
        )
        for stage, part, cost in zip(stages, parts, share_out(cost_minor, parts), strict=True)
    ]


def refuse_foreign(actor: Actor, person_id: int) -> None:
    """NotAllowed when somebody else's hours are changed by a person who does not manage all hours."""
    if actor.person_id != person_id and not actor.may("floor", "hours"):
        raise NotAllowed("These are somebody else’s hours. Ask the desk to correct them.")


def refuse_impossible(act: Act, person_id: int, interval: Interval, doing: Doing) -> None:
    """RuleBroken for hours of no length, across midnight, still to come, before their job, or on top of others."""
    day = day_of(act.session, interval.begins_at)
    if not interval.minutes:
        raise RuleBroken("That is less than a minute. Enter a later end.", "ends")
    if interval.ends_at > act.moment:
        raise RuleBroken("Those hours are still to come. Enter an earlier end.", "ends")
    if day_of(act.session, interval.ends_at - timedelta(minutes=1)) != day:
        raise RuleBroken("Hours must be on one day. Enter each day on its own.", "ends")
    stages = get_bare_stages(act.session, doing.stage_ids)
    for job in list_jobs_by_id(act.session, {stage.job_id for stage in stages}).values():
        if day < job.opened_on:
            raise RuleBroken(f"Job {job.number} was not opened yet on that day. Choose another.", "day")
    if any(stage.struck_at is not None for stage in stages):
        raise RuleBroken("That stage was removed from the plan. Restore it first, or choose another.", "stages")
    _refuse_overlap(act.session, person_id, interval)


def _refuse_overlap(session: Session, person_id: int, interval: Interval) -> None:
    day = day_of(session, interval.begins_at)
    for entry in list_entries(session, day, day, person_id):
        if entry.started_at < interval.ends_at and interval.begins_at < entry.stopped_at:
            raise RuleBroken("Some of that time is entered already. Correct that entry first.", "begins")
