"""What a move does, in words: each promise that it touches, places that hold too many, sessions that overlap."""

from collections.abc import Iterator
from dataclasses import dataclass

from shopbook.queries.diary.moving import CarEffect, MovedBoard
from shopbook.trade.letters import upper_first
from shopbook.trade.measures.locales import write_list
from shopbook.web.diary.bars import short_half
from shopbook.web.parts.frame import country, promise_text
from shopbook.web.parts.kept_day import called_name
from shopbook.web.parts.rows import Job


@dataclass(frozen=True, slots=True)
class Effect:
    """One line: of what, what happens, and its tag with its colour."""

    title: str
    words: str
    tag: str
    kind: str


def effects_of(moved: MovedBoard) -> list[Effect]:
    """The lifted car first, then everyone whom the move touches."""
    others = [each for each in moved.cars if each.job.id != moved.job.id]
    return [_own(moved), *(_of_car(each, moved) for each in others), *_of_places(moved), *_of_sessions(moved)]


def named(job: Job) -> str:
    """A job by its number and its customer."""
    return f"{job.number} {called_name(job)}".strip()


def _own(moved: MovedBoard) -> Effect:
    late = moved.after.late.get(moved.job.id)
    if late is None:
        return Effect(named(moved.job), "Its day can be kept.", "fits", "good")
    ready = late.ready_words(moved.after.today, country().date_form)
    return Effect(named(moved.job), f"Ready {ready}: {late.why}", "would be late", "late")


def _of_car(one: CarEffect, moved: MovedBoard) -> Effect:
    today, form = moved.after.today, country().date_form
    if one.after is None:
        return Effect(named(one.job), f"Promised {promise_text(one.job)}.", "can be kept again", "good")
    ready = one.after.ready_words(today, form)
    if one.before is None:
        told = upper_first(one.after.told_words(today, form))
        words = f"{told} stays promised, {ready} can be kept: {one.after.why}"
        return Effect(named(one.job), words, "would be late", "late")
    words = f"Ready {ready}, not {one.before.ready_words(today, form)}."
    is_sooner = one.after.ready < one.before.ready
    return Effect(
        named(one.job), words, "late, but sooner" if is_sooner else "later still", "warn" if is_sooner else "late"
    )


def _of_places(moved: MovedBoard) -> Iterator[Effect]:
    for room in moved.after.rooms:
        over = [(slot, count) for each, slot, count in moved.crowds if each.id == room.id]
        if over:
            first, last = over[0][0], over[-1][0]
            run = short_half(first) if first == last else f"{short_half(first)} to {short_half(last)}"
            yield Effect(room.name, f"{max(count for _, count in over)} cars, {run}", "too many", "warn")


def _of_sessions(moved: MovedBoard) -> Iterator[Effect]:
    if moved.clashing:
        numbers = write_list([str(number) for number in moved.clashing])
        yield Effect(f"Spraying {numbers}", "These sessions would overlap.", "overlap", "late")
