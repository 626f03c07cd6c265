"""A drying time drawn over today's hours: its earliest and latest as hours of the day, its state in words."""

from dataclasses import dataclass
from datetime import datetime, time, timedelta

from shopbook.queries.floor.windows import RunningWait
from shopbook.trade.diary.opening import OpeningHours
from shopbook.trade.letters import lower_first, upper_first
from shopbook.web.parts.frame import clock_text
from shopbook.web.parts.near import near_words

HOUR = timedelta(hours=1)
SOON = timedelta(hours=2)
USUAL_DAY = (8.0, 17.0)


@dataclass(frozen=True, slots=True)
class Strip:
    """One row: hours count from the shop's midnight; `kind` and `state` are its tag."""

    wait: RunningWait
    opens: float
    shuts: float | None
    now: float
    begins: float
    ends: float
    kind: str
    state: str
    title: str
    words: str
    drawn: str

    @property
    def is_pressing(self) -> bool:
        """Whether its window closes today or has closed."""
        return self.kind in {"late", "warn"}


def strip_of(wait: RunningWait, opening: OpeningHours, now: datetime) -> Strip:
    """The strip of one running wait at `now`."""
    midnight = opening.moment(opening.local_day(now), time(0))
    hours = opening.hours_on(opening.local_day(now))
    begins, ends = USUAL_DAY if hours is None else (_clock_hours(hours.opens), _clock_hours(hours.closes))
    kind, state = _state(wait, opening, now)
    opens = _said(wait.ready_at, opening, now)
    limit = f"no later than {_said(wait.shuts_at, opening, now)}" if wait.shuts_at else "no limit"
    ready = "ready since" if wait.is_over(now) else "ready from"
    return Strip(
        wait=wait,
        opens=(wait.ready_at - midnight) / HOUR,
        shuts=None if wait.shuts_at is None else (wait.shuts_at - midnight) / HOUR,
        now=(now - midnight) / HOUR,
        begins=begins,
        ends=ends,
        kind=kind,
        state=state,
        title=f"{wait.stage}, then {lower_first(wait.next_stage)}",
        words=f"{ready} {opens} · {limit}",
        drawn=f"{upper_first(ready)} {opens}, {limit}",
    )


def _state(wait: RunningWait, opening: OpeningHours, now: datetime) -> tuple[str, str]:
    if wait.shuts_at is not None and wait.shuts_at < now:
        return "late", f"too late since {_said(wait.shuts_at, opening, now)}"
    if not wait.is_over(now):
        return "wait", f"ready {_ahead(wait.ready_at, opening, now)}"
    if wait.shuts_at is not None and opening.local_day(wait.shuts_at) == opening.local_day(now):
        left = wait.shuts_at - now
        return "warn", f"{_minutes(left)} left" if left < SOON else f"until {clock_text(wait.shuts_at)}"
    return "good", "ready to work"


def _ahead(moment: datetime, opening: OpeningHours, now: datetime) -> str:
    left = moment - now
    return f"in {_minutes(left)}" if left < SOON else f"from {_said(moment, opening, now)}"


def _minutes(left: timedelta) -> str:
    """Whole minutes, rounded up: "12 min"."""
    return f"{-(-left // timedelta(minutes=1))} min"


def _said(moment: datetime, opening: OpeningHours, now: datetime) -> str:
    day, today = opening.local_day(moment), opening.local_day(now)
    return clock_text(moment) if day == today else f"{near_words(day, today)} {clock_text(moment)}"


def _clock_hours(clock: time) -> float:
    return clock.hour + clock.minute / 60
