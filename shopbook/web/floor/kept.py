"""What a press of the floor says of that which it is about: on its page, and from the book when the press arrives."""

import json
import sys
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime

from flask import g, request

from shopbook.queries.floor.clocks import find_clock_of
from shopbook.queries.floor.day import Day
from shopbook.queries.floor.rows import WorkRow
from shopbook.queries.floor.stage import StageView, get_stage_view
from shopbook.queries.floor.standing import DayStands, day_stands, floor_stands
from shopbook.trade.measures.locales import write_list
from shopbook.web.floor import words
from shopbook.web.floor.blueprint import blueprint, floor_of_request
from shopbook.web.parts import clock_text, day_text, now, reader, shop_now
from shopbook.web.parts.late import Concern
from shopbook.web.parts.rows import Stage

CLOCK = "clock"


def _stage_words(label: str, others: Iterable[str], *, is_done: bool = False, is_removed: bool = False) -> str:
    if is_removed or is_done:
        return f"{label}: {'removed from the plan' if is_removed else 'done'}"
    there = write_list(sorted(others))
    return f"{label}: {there} on it" if there else f"{label}: open"


def _words_of(stage: Stage, others: Iterable[str]) -> str:
    is_done, is_removed = stage.finished_at is not None, stage.struck_at is not None
    return _stage_words(stage.name, others, is_done=is_done, is_removed=is_removed)


def _clock_words(since_at: datetime | None) -> str:
    return f"Your clock: running since {clock_text(since_at)}" if since_at else "Your clock: stopped"


def _mix_words(view: StageView) -> str:
    """What the form of a stage asks for: it changes when a mix is recorded meanwhile, or the plan changes."""
    asked = [
        f"{each.name} {words.quantity(each.total_thousandths, each.unit)}" for each in view.mixes if not each.is_made
    ]
    return f"Mixes to enter: {', '.join(asked) or 'none'}"


def _day_words(entries: int, came_at: datetime | None, went_at: datetime | None) -> str:
    here = f"here from {clock_text(came_at)}" if came_at else "not clocked in"
    gone = f" to {clock_text(went_at)}" if went_at else ""
    return f"Day sheet: {entries} entr{'y' if entries == 1 else 'ies'}, {here}{gone}"


def _stage_key(stage_id: int) -> str:
    return f"stage {stage_id}"


def _day_key(person_id: int, on: date) -> str:
    return f"day {person_id} {on.isoformat()}"


# On the page: attributes of a form, from what the page has read already.


def press_words(label: str, was: Mapping[str, str]) -> dict[str, str]:
    """The attributes by which press.js knows a form: what it is called, and what it was about when it was shown."""
    return {"data-press": label, "data-was": json.dumps(was)}


def for_clock(label: str) -> dict[str, str]:
    """A press that is about the person's own clock."""
    return press_words(label, _own_clock())


def for_row(label: str, row: WorkRow) -> dict[str, str]:
    """A press on a stage of the list."""
    was = {_stage_key(row.stage_id): _stage_words(row.name, row.others)}
    return press_words(f"{label}: {row.number} {row.name}", was | _own_clock())


def for_rows(label: str, rows: Sequence[WorkRow]) -> dict[str, str]:
    """A press on several stages of the list."""
    was = {_stage_key(row.stage_id): _stage_words(row.name, row.others) for row in rows}
    return press_words(f"{label}: {write_list([f'{row.number} {row.name}' for row in rows])}", was | _own_clock())


def for_stage(label: str, view: StageView, *, with_mixes: bool = False) -> dict[str, str]:
    """A press on a stage's own page; with what its form asks for where the press sends that."""
    stage = view.stage
    mixes = {f"mixes {stage.id}": _mix_words(view)} if with_mixes else {}
    was = {_stage_key(stage.id): _words_of(stage, view.here_too)} | mixes | _own_clock()
    return press_words(f"{label}: {view.job.number} {stage.name}", was)


def for_form(label: str, stage: Stage) -> dict[str, str]:
    """A form about a stage on a page of its own."""
    clocks = floor_of_request().clocks_on(stage.id)
    others = [shop_now().person_names[each.person_id] for each in clocks if each.person_id != g.actor.person_id]
    return press_words(f"{label}: {stage.name}", {_stage_key(stage.id): _words_of(stage, others)})


def for_day(label: str, sheet: Day) -> dict[str, str]:
    """A press on a day sheet."""
    entries = sum(row.entry_id is not None for row in sheet.rows)
    said = _day_words(entries, sheet.came_at, sheet.went_at)
    return press_words(f"{label}: {day_text(sheet.on)}", {_day_key(sheet.person_id, sheet.on): said})


def _own_clock() -> dict[str, str]:
    mine = find_clock_of(g.actor, floor_of_request().clocks)
    return {CLOCK: _clock_words(mine.started_at if mine else None)}


# When it arrives: the same words, from the book.


def named_stages() -> list[int]:
    """The stages that a button named; what is no number names none."""
    return [int(key) for key in request.form.getlist("stage") if key.isdecimal() and len(key) < 10]


def stages_stand() -> Concern:
    """The stages that the press names, and the person's clock."""
    return _stand(named_stages())


def clock_stands() -> Concern:
    """The person's own clock."""
    return _stand([])


def stage_stands(stage_id: int, **_: str) -> Concern:
    """The stage of the address, and the person's clock."""
    return _stand([stage_id])


def form_stands(stage_id: int) -> Concern:
    """The same, with what the stage's form asks for."""
    view = get_stage_view(reader(), stage_id, g.actor, now())
    return _stand([stage_id], {f"mixes {stage_id}": _mix_words(view)})


def day_sheet_stands(person_id: int, on: date) -> Concern:
    """A person's day."""
    day: DayStands = day_stands(reader(), person_id, on)
    said = _day_words(day.entries, day.came_at, day.went_at)
    return Concern({_day_key(person_id, on): said}, f"day sheet of {day_text(on)}")


def _stand(stage_ids: list[int], more: Mapping[str, str] | None = None) -> Concern:
    found = floor_stands(reader(), g.actor.person_id, stage_ids, shop_now().day)
    labels = [f"{each.number} {each.stage.name}" for each in found.stages]
    said = {_stage_key(each.stage.id): _words_of(each.stage, each.others) for each in found.stages}
    return Concern(
        {**said, **(more or {}), CLOCK: _clock_words(found.runs_since)},
        write_list(labels),
        found.clock_at,
        max((each.others_since for each in found.stages if each.others_since is not None), default=None),
        next((each.stage.job_id for each in found.stages), None),
    )


@blueprint.context_processor
def _for_pages() -> dict[str, object]:
    return {"kept": sys.modules[__name__]}
