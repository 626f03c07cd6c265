"""Who is here: coming in, going home, and correcting both; separate from the hours on cars."""

from datetime import date, datetime

from shopbook.models.floor import Attendance
from shopbook.queries.floor.clocks import find_attendance
from shopbook.queries.shop.days import day_of
from shopbook.services.act import Act
from shopbook.services.floor.entries import refuse_foreign
from shopbook.services.postings import refuse_closed, write_log
from shopbook.trade.errors import RuleBroken
from shopbook.trade.floor.words import WHY_WORDS, Why
from shopbook.trade.permissions import Actor


def come_in(act: Act) -> Attendance:
    """The person is here from now; coming back on the same day keeps the first arrival and clears the departure."""
    earlier = _today(act)
    came_at = earlier.came_at if earlier is not None and earlier.came_at is not None else act.moment
    return _write(act, _who(act.actor), act.day, came_at, None, "")


def come_in_if_not_here(act: Act) -> None:
    """Whoever starts a clock is here."""
    earlier = _today(act)
    if earlier is None or earlier.came_at is None or earlier.went_at is not None:
        come_in(act)


def go_home(act: Act) -> Attendance:
    """The person leaves now; a clock that runs is stopped first by whoever calls this. RuleBroken when never here."""
    earlier = _today(act)
    if earlier is None or earlier.came_at is None:
        raise RuleBroken("You have not clocked in today. Press “I’m here” first.")
    return _write(act, _who(act.actor), earlier.on, earlier.came_at, act.moment, "")


def set_attendance(
    act: Act,
    person_id: int,
    on: date,
    came_at: datetime | None,
    went_at: datetime | None,
    reason: str = "",
) -> Attendance:
    """Correct a person's arrival and departure of one day; both empty means not here at all.

    The person's own day needs no reason on the same day; a later change or somebody else's needs one of `Why`.
    """
    refuse_foreign(act.actor, person_id)
    words = checked_reason(act, person_id, on, reason)
    if went_at is not None and came_at is None:
        raise RuleBroken("Enter when the day began, too.", "came")
    if came_at is not None and (day_of(act.session, came_at) != on or came_at > act.moment):
        raise RuleBroken("Enter an arrival on that day, not later than now.", "came")
    if went_at is not None and came_at is not None and not came_at < went_at <= act.moment:
        raise RuleBroken("Enter a departure after the arrival, not later than now.", "went")
    return _write(act, person_id, on, came_at, went_at, words)


def checked_reason(act: Act, person_id: int, on: date, reason: str) -> str:
    """The reason in words; RuleBroken when a day is changed later, or by another, without one."""
    if reason:
        try:
            return WHY_WORDS[Why(reason)]
        except ValueError:
            raise RuleBroken("Choose a reason from the list.", "reason") from None
    if act.actor.person_id != person_id or on != act.day:
        raise RuleBroken("Choose a reason for the change.", "reason")
    return ""


def _write(
    act: Act,
    person_id: int,
    on: date,
    came_at: datetime | None,
    went_at: datetime | None,
    reason: str,
) -> Attendance:
    refuse_closed(act.session, on)
    line = Attendance(
        person_id=person_id,
        on=on,
        came_at=came_at,
        went_at=went_at,
        at=act.moment,
        by_person_id=act.actor.person_id,
        reason=reason,
    )
    act.session.add(line)
    act.session.flush()
    if act.actor.person_id != person_id or reason:
        write_log(act, "set_attendance", "person", person_id, f"Corrected attendance of {on}: {reason}")
    return line


def _who(actor: Actor) -> int:
    if actor.person_id is None:
        raise RuleBroken("Sign in first.")
    return actor.person_id


def _today(act: Act) -> Attendance | None:
    return find_attendance(act.session, _who(act.actor), act.day)
