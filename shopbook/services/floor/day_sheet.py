"""A day is corrected: gaps placed, guesses accepted, the rest left off cars, entries changed, paper cards typed."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, time

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.floor import ClockEntry, ClockShare
from shopbook.queries.floor.clocks import find_attendance
from shopbook.queries.floor.day import get_day_sheet, lunch_on
from shopbook.queries.floor.entries import get_entry, is_taken_back
from shopbook.queries.jobs.plans import get_bare_stages
from shopbook.queries.shop.opening import opening_hours_on
from shopbook.services.act import Act
from shopbook.services.floor.attendance import checked_reason, set_attendance
from shopbook.services.floor.clocks import close_overdue_clocks
from shopbook.services.floor.entries import Doing, refuse_foreign, refuse_impossible, write_entry
from shopbook.services.jobs.doing import begin_stages
from shopbook.services.postings import reverse_clock, write_job_logs
from shopbook.trade.diary.opening import OpeningHours
from shopbook.trade.errors import RuleBroken
from shopbook.trade.floor.hours import Interval, subtract
from shopbook.trade.floor.words import ClockWhat, Why
from shopbook.trade.permissions import Actor


def place_time(act: Act, person_id: int, interval: Interval, doing: Doing) -> ClockEntry:
    """Place a gap of a day: on stages, or on something else. It needs no reason, since nothing is changed.

    RuleBroken for time that is placed already, has not passed, or is before the job.
    """
    refuse_foreign(act.actor, person_id)
    close_overdue_clocks(act.session, act.moment)
    entry = _write(act, person_id, interval, doing, "")
    assert entry is not None
    return entry


def take_all_guesses(act: Act, person_id: int, on: date) -> int:
    """Place every gap of a day by its best guess; answers how many were placed."""
    refuse_foreign(act.actor, person_id)
    close_overdue_clocks(act.session, act.moment)
    holes = get_day_sheet(act.session, person_id, on, act.moment).holes
    for hole in holes:
        best = hole.guesses[0]
        _write(act, person_id, hole.interval, Doing(best.what, best.stage_ids), "")
    return len(holes)


def rest_not_on_car(act: Act, person_id: int, on: date) -> int:
    """Mark every gap of a day as time that was not on a car; answers how many there were."""
    refuse_foreign(act.actor, person_id)
    close_overdue_clocks(act.session, act.moment)
    holes = get_day_sheet(act.session, person_id, on, act.moment).holes
    for hole in holes:
        _write(act, person_id, hole.interval, Doing(ClockWhat.NOT_ON_CAR), "")
    return len(holes)


def correct_entry(
    act: Act,
    entry_id: int,
    *,
    interval: Interval | None = None,
    doing: Doing | None = None,
    reason: str = "",
) -> ClockEntry:
    """Remove an entry and write it again with another time, another place or both.

    The person's own entry of today needs no reason; any other needs one of `Why`. RuleBroken when it was removed
    already or the month is closed.
    """
    entry = _to_change(act.session, act.actor, entry_id)
    words = checked_reason(act, entry.person_id, entry.on, reason)
    if interval is None:
        interval = Interval(entry.started_at, entry.stopped_at)
    if doing is None:
        doing = Doing(ClockWhat(entry.what), tuple(share.stage_id for share in entry.shares), entry.note)
    reverse_clock(act, entry, words)
    made = _write(act, entry.person_id, interval, doing, words)
    assert made is not None
    job_ids = _jobs_of(act.session, entry, made)
    write_job_logs(act, "correct_entry", "clock_entry", entry.id, f"Corrected hours of {entry.on}: {words}", job_ids)
    return made


def take_entry_back(act: Act, entry_id: int, reason: str = "") -> ClockEntry:
    """Remove an entry: its time is a gap of the day sheet again. Reasons as in `correct_entry`."""
    entry = _to_change(act.session, act.actor, entry_id)
    words = checked_reason(act, entry.person_id, entry.on, reason)
    back = reverse_clock(act, entry, words)
    said = f"Removed hours of {entry.on}: {words}"
    write_job_logs(act, "take_entry_back", "clock_entry", entry.id, said, _jobs_of(act.session, entry))
    return back


def _jobs_of(session: Session, *entries: ClockEntry) -> set[int]:
    ids = [entry.id for entry in entries]
    return set(session.scalars(select(ClockShare.job_id).where(ClockShare.entry_id.in_(ids))))


@dataclass(frozen=True, slots=True)
class CardLine:
    """One line of a paper card: from and to by the shop's clock, and what it was."""

    begins: time
    ends: time
    doing: Doing


def type_hours(
    act: Act,
    person_id: int,
    on: date,
    lines: Sequence[CardLine],
    *,
    came: time | None = None,
    went: time | None = None,
) -> list[ClockEntry]:
    """Enter a person's day from a paper card; a line over lunch is split around it, and arrival and departure are set.

    Without `came` and `went` the day runs from the first line to the last. RuleBroken beside the first line that
    cannot be: nothing of the card is saved then.
    """
    refuse_foreign(act.actor, person_id)
    if not lines:
        raise RuleBroken("Enter at least one line of the card.", "lines")
    hours = opening_hours_on(act.session, on)
    if on > act.day:
        raise RuleBroken("That day is still to come. Enter an earlier day.", "on")
    made: list[ClockEntry] = []
    for line in lines:
        if line.begins >= line.ends:
            raise RuleBroken("Enter an end later than the start.", "ends")
        whole = Interval(hours.moment(on, line.begins), hours.moment(on, line.ends))
        for piece in subtract([whole], lunch_on(hours, on)):
            entry = _write(act, person_id, piece, line.doing, "from the paper card")
            assert entry is not None
            made.append(entry)
    _set_day(act, person_id, hours, on, lines, came, went)
    return made


def _set_day(
    act: Act,
    person_id: int,
    hours: OpeningHours,
    on: date,
    lines: Sequence[CardLine],
    came: time | None,
    went: time | None,
) -> None:
    earlier = find_attendance(act.session, person_id, on)
    if earlier is not None and earlier.came_at is not None and came is None and went is None:
        return
    came_at = hours.moment(on, came or min(line.begins for line in lines))
    went_at = hours.moment(on, went or max(line.ends for line in lines))
    set_attendance(act, person_id, on, came_at, went_at, Why.PAPER)


def _write(act: Act, person_id: int, interval: Interval, doing: Doing, reason: str) -> ClockEntry | None:
    refuse_impossible(act, person_id, interval, doing)
    fresh = [stage for stage in get_bare_stages(act.session, doing.stage_ids) if stage.begun_at is None]
    begin_stages(Act(act.session, act.actor, interval.begins_at), fresh)
    return write_entry(act, person_id, interval, doing, reason=reason, is_typed=True)


def _to_change(session: Session, actor: Actor, entry_id: int) -> ClockEntry:
    entry = get_entry(session, entry_id)
    refuse_foreign(actor, entry.person_id)
    if entry.reverses_id is not None or is_taken_back(session, entry_id):
        raise RuleBroken("That entry was removed already.")
    return entry
