"""Base-and-clear sessions by the clock: spraying with its flashes, then until the car is unmasked; which overlap."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from shopbook.trade.catalogue.stage_codes import StageCode
from shopbook.trade.diary.placing import PlacedStage

SPRAYED = frozenset({StageCode.BASE_CLEAR, StageCode.CLEAR_OVER})
"""What is sprayed in a session; a primer is laid wherever the car stands."""


@dataclass(frozen=True, slots=True)
class SprayTime:
    """A session of one job: from when, its last coat, and when the tape can come off, so that the bay is free."""

    number: int
    starts_at: datetime
    sprayed_at: datetime
    free_at: datetime


def sessions_of(number: int, placed: Sequence[PlacedStage], codes: Mapping[str, str]) -> Iterator[SprayTime]:
    """The sessions of a job whose stages are placed; `codes` are the kinds of its stages by key.

    Base and clear of 1.0 h with 40 min of flashes begun at 8:00 is done at 9:40; the clear can be untaped 45 min later,
    so the bay is taken until 10:25.
    """
    for row in placed:
        if codes.get(row.key) in SPRAYED:
            free = (each.held_until for each in placed if _untapes(each, row, codes))
            yield SprayTime(number, row.starts_at, row.ends_at, max(next(free, row.ends_at), row.ends_at))


def _untapes(stage: PlacedStage, session: PlacedStage, codes: Mapping[str, str]) -> bool:
    return codes.get(stage.key) == StageCode.UNMASK and stage.held_by == session.key


def overlapping(sessions: Iterable[SprayTime], bays: int = 1) -> frozenset[SprayTime]:
    """Those sessions that begin while every spray bay is taken, with the ones that take it.

    62 from 8:00 to 11:15 and 67 from 10:00 to 12:30 on one bay are both; 67 from 11:15 on is neither.
    """
    found: set[SprayTime] = set()
    known = sorted(sessions, key=lambda one: (one.starts_at, one.number))
    for place, one in enumerate(known):
        before = [each for each in known[:place] if each.free_at > one.starts_at]
        if len(before) >= bays:
            found.update((one, *before))
    return frozenset(found)


def in_the_way(session: SprayTime, standing: Iterable[int]) -> tuple[int, ...]:
    """The cars on the spray bay that only stand there when a session of another begins: they are moved out first."""
    return tuple(sorted(number for number in standing if number != session.number))
