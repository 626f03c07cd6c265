"""What is left of a plan to place into time: stages with their waits, and what holds them up from outside."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from shopbook.models.jobs import JobPart, Stage
from shopbook.queries.jobs.whole import WholeJob
from shopbook.trade.diary.opening import HalfDay, OpeningHours
from shopbook.trade.diary.placing import StageNeed
from shopbook.trade.floor.waits import WaitKind
from shopbook.trade.planning.shapes import DraftPlan

WAIT_WORDS = {
    WaitKind.FLASH: "a coat has to flash off",
    WaitKind.HARDEN: "filler has to harden",
    WaitKind.DRY: "a coat has to dry",
    WaitKind.CURE: "the paint has to cure",
    WaitKind.RECOAT_WINDOW: "a coat has to dry",
}


@dataclass(frozen=True, slots=True)
class WorkNeeded:
    """Stages to place; `not_before` by their keys; `waits` says in words which parts hold them up."""

    stages: tuple[StageNeed, ...]
    not_before: Mapping[str, datetime]
    waits: tuple[str, ...] = ()


def needs_of_draft(draft: DraftPlan) -> WorkNeeded:
    """A plan that is not saved yet."""
    needs = tuple(
        StageNeed(
            key=str(place),
            skill=stage.skill,
            minutes=stage.minutes,
            after=tuple(str(each) for each in stage.after),
            wait_minutes=stage.wait.not_before_minutes if stage.wait else 0,
            wait_words=_wait_words(stage.wait.kind) if stage.wait else "",
            not_after_minutes=_shortest(
                draft.stages[each].wait.not_after_minutes  # type: ignore[union-attr]
                for each in stage.after
                if draft.stages[each].wait is not None
            ),
            in_one_day=bool(stage.mixes),
        )
        for place, stage in enumerate(draft.stages)
    )
    return WorkNeeded(needs, {})


def needs_of_job(whole: WholeJob, opening: OpeningHours, now: datetime) -> WorkNeeded:
    """What is left of a job's plan; removed stages are skipped, finished ones leave their waits; no statement."""
    stages = {stage.id: stage for stage in whole.stages}
    used, parts = whole.used_minutes, whole.parts_by_id
    needs: list[StageNeed] = []
    not_before: dict[str, datetime] = {}
    waits: list[str] = []
    for stage in stages.values():
        if stage.finished_at is not None or stage.struck_at is not None:
            continue
        before = _before(stage, stages)
        needs.append(_need(stage, before, used.get(stage.id, 0)))
        holds, words = _held_by(before, parts.get(stage.waits_for_part_id or 0), opening, now)
        waits += words
        if holds:
            not_before[str(stage.id)] = max(holds)
    return WorkNeeded(tuple(needs), not_before, tuple(dict.fromkeys(waits)))


def _held_by(
    before: Sequence[Stage], part: JobPart | None, opening: OpeningHours, now: datetime
) -> tuple[list[datetime], list[str]]:
    """From when a stage can go on after those before it and its part, and in words what it still waits for."""
    holds: list[datetime] = []
    waits: list[str] = []
    for each in before:
        if each.finished_at is not None:
            holds.append(each.finished_at + timedelta(minutes=each.not_before_minutes))
            waits += [_wait_words(each.wait_kind)] if holds[-1] > now else []
    if part is not None:
        holds.extend(_part_at(part, opening, opening.local_day(now)))
        waits.append(f"waiting for {part.name}" if part.due_on else f"no delivery day for {part.name} yet")
    return holds, waits


def _part_at(part: JobPart, opening: OpeningHours, today: date) -> list[datetime]:
    """From when a part can be counted on: the middle of the day it is due, or of today if it is late."""
    if part.due_on is None:
        return []
    day = opening.add_working_days(max(part.due_on, today), 0)
    return [opening.end_of_half(day, HalfDay.MORNING)]


def _before(stage: Stage, stages: Mapping[int, Stage]) -> list[Stage]:
    found: dict[int, Stage] = {}
    asked, seen = [each.after_id for each in stage.after], set[int]()
    while asked:
        key = asked.pop()
        before = stages.get(key)
        if key in seen or before is None:
            continue
        seen.add(key)
        if before.struck_at is not None:
            asked.extend(each.after_id for each in before.after)
        else:
            found[key] = before
    return [found[key] for key in sorted(found)]


def _need(stage: Stage, before: Sequence[Stage], used_minutes: int) -> StageNeed:
    to_come = [each for each in before if each.finished_at is None]
    return StageNeed(
        key=str(stage.id),
        skill=stage.skill,
        minutes=max(stage.planned_minutes - used_minutes, 0),
        after=tuple(str(each.id) for each in to_come),
        wait_minutes=stage.not_before_minutes,
        wait_words=_wait_words(stage.wait_kind) if stage.not_before_minutes else "",
        not_after_minutes=_shortest(each.not_after_minutes for each in to_come),
        in_one_day=bool(stage.mixes),
    )


def _wait_words(kind: str) -> str:
    return WAIT_WORDS[WaitKind(kind)] if kind in set(WaitKind) else "a coat has to dry"


def _shortest(windows: Iterable[int | None]) -> int | None:
    return min((each for each in windows if each is not None), default=None)
