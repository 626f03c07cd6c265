"""The one clock of a person: started on stages or on something else, paused, stopped by itself at lunch and closing."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from sqlalchemy import delete
from sqlalchemy.orm import Session

from shopbook.models.floor import ClockEntry, RunningClock, RunningShare
from shopbook.models.jobs import Stage
from shopbook.queries.floor.clocks import find_running, list_overdue, list_running
from shopbook.queries.floor.entries import list_entries
from shopbook.queries.floor.on_clock import OnClock, on_clock
from shopbook.queries.jobs.jobs import list_jobs_by_id
from shopbook.queries.jobs.plans import get_bare_stages
from shopbook.queries.shop.days import day_of, find_closed_through
from shopbook.queries.shop.opening import opening_hours_on
from shopbook.queries.shop.rates import setting_on
from shopbook.services.act import Act
from shopbook.services.floor.attendance import come_in_if_not_here
from shopbook.services.floor.entries import Doing, write_entry
from shopbook.services.jobs.doing import begin_stages
from shopbook.services.postings import write_job_logs
from shopbook.trade.errors import RuleBroken, Undecided
from shopbook.trade.floor.hours import Interval, StopCause, next_stop
from shopbook.trade.floor.readiness import NEEDS_APPROVAL
from shopbook.trade.floor.words import (
    OTHER_WORDS,
    STOPPED_AT_CLOSING,
    STOPPED_AT_LUNCH,
    STOPPED_AT_NIGHT,
    ClockWhat,
    Second,
    ask_second,
    second_words,
)
from shopbook.trade.measures.locales import write_list
from shopbook.trade.permissions import THE_PROGRAM, Actor
from shopbook.trade.settings import SettingName

_STOPPED = {
    StopCause.LUNCH: STOPPED_AT_LUNCH,
    StopCause.CLOSING: STOPPED_AT_CLOSING,
    StopCause.DAY_END: STOPPED_AT_NIGHT,
}


def start_clock(act: Act, stage_ids: Sequence[int]) -> RunningClock:
    """Run the person's clock on these stages, of one or several jobs; what ran before is paused at the same moment.

    Whoever starts on a stage that somebody works on joins it. The same stages again simply continue. RuleBroken for a
    stage that is done or removed, a job that is not in the shop, and, where the shop is strict, for a stage that is
    not approved.
    """
    close_overdue_clocks(act.session, act.moment)
    stages = get_bare_stages(act.session, stage_ids)
    if not stages:
        raise RuleBroken("Choose the stage you start.", "stages")
    _refuse_unworkable(act, stages)
    running = find_running(act.session, person_of(act.actor))
    if running is not None and set(running.stage_ids) == {stage.id for stage in stages}:
        return running
    clock = _run(act, running, Doing(stage_ids=tuple(stage.id for stage in stages)))
    begin_stages(act, stages)
    return clock


def start_on(act: Act, stage_ids: Sequence[int], second: str = "") -> RunningClock:
    """The press Start: where the person's clock runs on another car, `second` says whether to switch or to do both.

    Undecided where that is not said; see start_clock for the rest. Work on the same car is switched without a question.
    """
    close_overdue_clocks(act.session, act.moment)
    running = find_running(act.session, person_of(act.actor))
    if running is not None and second not in {Second.SWITCH, Second.BOTH}:
        _ask_second(on_clock(act.session, running), get_bare_stages(act.session, stage_ids))
    mine = running.stage_ids if running and second == Second.BOTH else ()
    return start_clock(act, list(dict.fromkeys([*mine, *stage_ids])))


def _ask_second(mine: OnClock, stages: Sequence[Stage]) -> None:
    job_ids = {stage.job_id for stage in stages}
    others = mine.besides(*job_ids)
    if others and stages:
        cars = len(job_ids | {other.job_id for other in others})
        sentence = ask_second(write_list([f"{other.number} {other.name}" for other in others]))
        raise Undecided(sentence, "second", second_words(cars))


def start_other(act: Act, what: str, note: str = "") -> RunningClock:
    """Run the person's clock on something that belongs to no car: cleaning, moving cars, fetching paint, phone."""
    close_overdue_clocks(act.session, act.moment)
    if what not in OTHER_WORDS:
        raise RuleBroken("Choose what you are doing.", "what")
    running = find_running(act.session, person_of(act.actor))
    return _run(act, running, Doing(ClockWhat(what), note=note.strip()))


def pause_clock(act: Act) -> ClockEntry | None:
    """Stop the person's clock and save its time; None when less than a minute ran. RuleBroken when none runs."""
    close_overdue_clocks(act.session, act.moment)
    running = find_running(act.session, person_of(act.actor))
    if running is None:
        raise RuleBroken("Your clock is stopped already. Add missing time on your day sheet.")
    return stop_running(act, running)


def leave_stages(act: Act, stage_ids: Sequence[int]) -> None:
    """Take finished stages off every clock that runs on them; a clock with other stages continues with those.

    A person whose clock stopped on them at lunch, and who has pressed nothing since, worked on after lunch.
    """
    done = set(stage_ids)
    mine = person_of(act.actor)
    clocks = {clock.person_id: clock for clock in list_running(act.session)}
    if mine not in clocks:
        _go_on_after_lunch(act, done)
    for person_id, clock in sorted(clocks.items()):
        on = set(clock.stage_ids)
        if on & done:
            stop_running(act, clock)
            if on - done:
                _set_running(act, person_id, Doing(stage_ids=tuple(sorted(on - done))))


def close_overdue_clocks(session: Session, now: datetime) -> int:
    """Stop every clock that ran past lunch, closing or midnight, at that moment; answers how many were stopped.

    What came after is a gap in the day sheet. Who looks first makes no difference to what is written.
    """
    overdue = list_overdue(session, now)
    for clock in overdue:
        hours = opening_hours_on(session, day_of(session, clock.started_at))
        stops_at, cause = next_stop(clock.started_at, hours)
        stop_running(Act(session, THE_PROGRAM, now), clock, until=stops_at, reason=_STOPPED[cause])
    return len(overdue)


def stop_running(
    act: Act,
    clock: RunningClock,
    *,
    until: datetime | None = None,
    reason: str = "",
) -> ClockEntry | None:
    """Turn a running clock into its ledger line, ending at `until` (None: now).

    A clock left running in a month that was closed meanwhile is dropped, and the log says so.
    """
    until = until or act.moment
    doing = Doing(ClockWhat(clock.what), clock.stage_ids, clock.note)
    person_id, interval = clock.person_id, Interval(min(clock.started_at, until), until)
    _forget(act.session, person_id)
    closed = find_closed_through(act.session)
    if closed is not None and day_of(act.session, interval.begins_at) <= closed:
        words = f"Dropped a clock of {interval.minutes} minutes that ran into a closed month"
        stages = get_bare_stages(act.session, clock.stage_ids)
        write_job_logs(act, "stop_running", "person", person_id, words, {stage.job_id for stage in stages})
        return None
    return write_entry(act, person_id, interval, doing, reason=reason)


def person_of(actor: Actor) -> int:
    """Who acts, as somebody with a clock; RuleBroken for the program itself."""
    if actor.person_id is None:
        raise RuleBroken("Sign in first.")
    return actor.person_id


def _run(act: Act, running: RunningClock | None, doing: Doing) -> RunningClock:
    if running is not None:
        stop_running(act, running)
    come_in_if_not_here(act)
    _set_running(act, person_of(act.actor), doing)
    clock = find_running(act.session, person_of(act.actor))
    assert clock is not None
    return clock


def _set_running(act: Act, person_id: int, doing: Doing) -> None:
    act.session.add(RunningClock(person_id=person_id, started_at=act.moment, what=doing.what, note=doing.note))
    act.session.add_all(RunningShare(person_id=person_id, stage_id=key) for key in doing.stage_ids)
    act.session.flush()


def _forget(session: Session, person_id: int) -> None:
    session.execute(delete(RunningShare).where(RunningShare.person_id == person_id))
    session.execute(delete(RunningClock).where(RunningClock.person_id == person_id))


def _refuse_unworkable(act: Act, stages: Sequence[Stage]) -> None:
    is_strict = setting_on(act.session, SettingName.STRICT_APPROVAL, act.day)
    jobs = list_jobs_by_id(act.session, {stage.job_id for stage in stages})
    for stage in stages:
        job = jobs[stage.job_id]
        if stage.finished_at is not None:
            raise RuleBroken(f"{stage.name}, job {job.number}, is done already. Use Rework for more work on it.")
        if stage.struck_at is not None:
            raise RuleBroken(f"{stage.name}, job {job.number}, was removed from the plan.")
        if job.called_off_at is not None or job.handed_over_at is not None:
            raise RuleBroken(f"Job {job.number} is closed. Choose another.")
        if is_strict and stage.agreed_at is None and stage.purpose in NEEDS_APPROVAL:
            raise RuleBroken(
                f"{stage.name}, job {job.number}, is not approved yet, and this shop starts nothing without approval. "
                "Use Strip and inspect, or ask the desk."
            )


@dataclass(frozen=True, slots=True)
class _AfterLunch:
    interval: Interval
    doing: Doing


def _go_on_after_lunch(act: Act, stage_ids: set[int]) -> None:
    cut = _find_cut(act.session, person_of(act.actor), act.moment)
    if cut is not None and stage_ids & set(cut.doing.stage_ids):
        write_entry(act, person_of(act.actor), cut.interval, cut.doing)


def _find_cut(session: Session, person_id: int, now: datetime) -> _AfterLunch | None:
    """The time from the end of lunch to now, if the person's last line of today was stopped by lunch."""
    today = day_of(session, now)
    last = max(list_entries(session, today, today, person_id), key=lambda entry: entry.stopped_at, default=None)
    stretches = opening_hours_on(session, today).stretches_on(today)
    if last is None or last.reason != STOPPED_AT_LUNCH or len(stretches) < 2:
        return None
    begins, closes = stretches[-1]
    if not begins < now <= closes:
        return None
    doing = Doing(stage_ids=tuple(share.stage_id for share in last.shares))
    return _AfterLunch(Interval(begins, now), replace(doing, note=last.note))
