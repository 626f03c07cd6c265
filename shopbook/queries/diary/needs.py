"""What is left of a plan to place into time: stages with their waits, and what holds them up from outside."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from shopbook.models.jobs import Stage
from shopbook.queries.jobs.plans import awaited_part, layer_of
from shopbook.queries.jobs.whole import WholeJob
from shopbook.trade.catalogue.stage_codes import StageCode
from shopbook.trade.diary.opening import HalfDay, OpeningHours
from shopbook.trade.diary.placing import CoatAsked, StageNeed
from shopbook.trade.floor.coat_waits import Layer, SatOut, asked_of
from shopbook.trade.floor.readiness import AwaitedPart
from shopbook.trade.floor.waits import WaitKind
from shopbook.trade.planning.coat_rows import draft_layers
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
    layers = draft_layers(draft)
    needs = [
        StageNeed(
            key=str(place),
            skill=stage.skill,
            minutes=stage.minutes,
            after=tuple(str(each) for each in stage.after),
            not_after_minutes=_shortest(asked_of(layer, layers)),
            in_one_day=bool(stage.mixes),
            coats=_coats(asked_of(layer, layers)),
            flash_minutes=stage.flash_minutes,
        )
        for place, (stage, layer) in enumerate(zip(draft.stages, layers, strict=True))
    ]
    return WorkNeeded((*needs, *_going_home(needs, layers)), {})


def _coats(asked: Iterable[SatOut]) -> tuple[CoatAsked, ...]:
    """The coats still to be laid that a stage asks, the longest wait of each stage that lays them."""
    found: dict[str, CoatAsked] = {}
    for each in asked:
        key, minutes = str(each.layer.id), each.wait.not_before_minutes
        if each.layer.finished_at is None and (key not in found or minutes > found[key].minutes):
            found[key] = CoatAsked(key, minutes, _wait_words(each.wait.kind))
    return tuple(found.values())


def _shortest(asked: Iterable[SatOut]) -> int | None:
    """The shortest window of the coats still to be laid; advice is none."""
    shuts = (each.wait.not_after_minutes for each in asked if each.wait.closes and each.layer.finished_at is None)
    return min((each for each in shuts if each is not None), default=None)


def _going_home(needs: Sequence[StageNeed], layers: Sequence[Layer]) -> Iterator[StageNeed]:
    """Where no stage sees the car off, it goes home once its coats can be touched, without anybody's work."""
    coats = _coats(asked_of(Layer(-1, StageCode.HAND_OVER), layers))
    is_seen_off = any(layer.code == StageCode.HAND_OVER and not layer.is_struck for layer in layers)
    if coats and not is_seen_off:
        yield StageNeed("home", needs[-1].skill, 0, coats=coats)


def needs_of_job(whole: WholeJob, opening: OpeningHours, now: datetime) -> WorkNeeded:
    """What is left of a job's plan; removed stages are skipped, finished ones leave their waits; no statement."""
    stages = {stage.id: stage for stage in whole.stages}
    layers = [layer_of(stage) for stage in whole.stages]
    used, parts = whole.used_minutes, whole.parts_by_id
    needs: list[StageNeed] = []
    not_before: dict[str, datetime] = {}
    waits: list[str] = []
    for stage, layer in zip(whole.stages, layers, strict=True):
        if stage.is_over:
            continue
        asked = asked_of(layer, layers)
        needs.append(_need(stage, _before(stage, stages), asked, used.get(stage.id, 0)))
        holds, words = _held_by(asked, awaited_part(parts.get(stage.waits_for_part_id or 0)), opening, now)
        waits += words
        if holds:
            not_before[str(stage.id)] = max(holds)
    home = _going_home(needs, layers) if needs else ()
    return WorkNeeded((*needs, *home), not_before, tuple(dict.fromkeys(waits)))


def _held_by(
    asked: Sequence[SatOut], part: AwaitedPart | None, opening: OpeningHours, now: datetime
) -> tuple[list[datetime], list[str]]:
    """From when a stage can go on after the coats that are laid and its part, and in words what it still waits for."""
    holds: list[datetime] = []
    waits: list[str] = []
    laid = [(each.ready_at, each.wait.kind) for each in asked if each.ready_at is not None]
    if laid:
        ready_at, kind = max(laid)
        holds.append(ready_at)
        waits += [_wait_words(kind)] if ready_at > now else []
    if part is not None and not part.has_come:
        holds.extend(_part_at(part, opening, opening.local_day(now)))
        waits.append(f"waiting for {part.name}" if part.due_on else f"no delivery day for {part.name} yet")
    return holds, waits


def _part_at(part: AwaitedPart, opening: OpeningHours, today: date) -> list[datetime]:
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


def _need(stage: Stage, before: Sequence[Stage], asked: Sequence[SatOut], used_minutes: int) -> StageNeed:
    to_come = [each for each in before if each.finished_at is None]
    return StageNeed(
        key=str(stage.id),
        skill=stage.skill,
        minutes=max(stage.planned_minutes - used_minutes, 0),
        after=tuple(str(each.id) for each in to_come),
        not_after_minutes=_shortest(asked),
        in_one_day=bool(stage.mixes),
        coats=_coats(asked),
        flash_minutes=stage.flash_minutes,
    )


def _wait_words(kind: str) -> str:
    return WAIT_WORDS[WaitKind(kind)] if kind in set(WaitKind) else "a coat has to dry"
