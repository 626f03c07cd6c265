"""A car moved on the board: lifted by its address, every consequence shown, then saved by one press."""

from dataclasses import dataclass

from flask import render_template, request, url_for
from werkzeug.wrappers import Response

from shopbook.queries.diary.board import BoardReading, days_across, read_board
from shopbook.queries.diary.moving import MovedBoard, move_on_board, own_slot
from shopbook.queries.jobs.jobs import get_job
from shopbook.services.diary import move_car
from shopbook.services.jobs.doing import refuse_over
from shopbook.trade.diary.board import Slot, half_of, slot_after, slot_before
from shopbook.trade.diary.late import Half
from shopbook.trade.errors import NotFound
from shopbook.trade.measures.half_days import half_day_words
from shopbook.web.diary.days import typed_day, typed_half
from shopbook.web.diary.effects import effects_of
from shopbook.web.diary.routes import blueprint, board_values, day_asked, week_url
from shopbook.web.parts import Act, Done, act_by_press, country, key_or_none, needs, now, reader, shop_now
from shopbook.web.parts.kept_day import called_name
from shopbook.web.parts.rows import Job


@dataclass(frozen=True, slots=True)
class Shift:
    """What ◂ and ▸ move: its name, where it stands, and the addresses before and after; None at an end. `words` are
    what the two say, `keys` the keys that press them."""

    name: str
    value: str
    before: str | None
    after: str | None
    words: tuple[str, str] = ("half a day earlier", "half a day later")
    keys: tuple[str, str] = ("ArrowLeft", "ArrowRight")


@blueprint.get("/jobs/<int:number>/move")
@needs("diary", "change")
def move(number: int) -> str:
    job = get_job(reader(), number)
    refuse_over(job)
    moved = _lifted(job)
    return render_template(
        "diary/move.html",
        **board_values(moved.after, number, moved.slot[0]),
        job=job,
        who=f"{number} {called_name(job)}".strip(),
        moved=moved,
        own=_own_words(moved),
        effects=effects_of(moved),
        shifts=_shifts(moved),
        fields=_fields(moved),
        saves=_save_words(moved),
        back=week_url(moved.before.days[0]),
    )


@blueprint.post("/jobs/<int:number>/move")
@needs("diary", "change")
def move_saved(number: int) -> Response:
    """The days and the place as they stood on the page: what was shown is what is saved."""

    def keep(act: Act) -> Done:
        job = get_job(act.session, number)
        before = (job.promise_on, job.promise_half)
        place_id = key_or_none(request.form.get("place_id"))
        moved = move_car(act, job.id, _given_half("drop_off"), _given_half("promise"), place_id)
        is_news = moved.promise_on is not None and (moved.promise_on, moved.promise_half) != before
        here = week_url(moved.drop_off_on) if moved.drop_off_on and not moved.came_at else url_for("diary.week")
        return Done(here, _said(moved) + (" Tell the customer." if is_news else ""))

    return act_by_press(keep, url_for("diary.move", number=number))


def _given_half(name: str) -> Half | None:
    """A half-day of the form, as its page wrote it."""
    day = typed_day(request.form.get(f"{name}_on", ""))
    return (day, typed_half(request.form.get(f"{name}_half", ""))) if day else None


def _lifted(job: Job) -> MovedBoard:
    """The board with the car where the address has it; a day that is none leaves it where it is."""
    today, on = shop_now().day, day_asked("on")
    first = day_asked("day") or today
    across = days_across(shop_now().opening, first)
    seen = read_board(shop_now(), on if on and on > across[-1] else first, now(), lifted=job.number)
    if job.id not in seen.jobs:
        raise NotFound("That car is not in the diary.")
    known = {room.id for room in shop_now().places}
    place_id = key_or_none(request.args.get("place"))
    return move_on_board(seen, job, _wanted(seen, job), place_id if place_id in known else job.place_id)


def _wanted(seen: BoardReading, job: Job) -> Slot | None:
    on, step = day_asked("on"), {"earlier": slot_before, "later": slot_after}.get(request.args.get("step", ""))
    if on is not None:
        return on, request.args.get("half") == "afternoon"
    return step(seen.shop.opening, own_slot(seen, job)) if step else None


def _shifts(moved: MovedBoard) -> list[Shift]:
    """The half-day that moves, where one does, and the place."""
    job = moved.job
    first = (
        []
        if job.ready_at
        else [
            Shift(
                "Promised for" if job.came_at else "Drop-off",
                _slot_words(moved.slot) if moved.days.told or moved.days.drop_off else "not set",
                _address(moved, moved.earlier) if moved.earlier else None,
                _address(moved, moved.later),
            )
        ]
    )
    return [*first, _place_shift(moved)]


def _place_shift(moved: MovedBoard) -> Shift:
    rooms, slot = moved.after.rooms, _kept(moved)
    ids = [room.id for room in rooms]
    stands = next((car.room_id for car in moved.after.cars if car.job.id == moved.job.id), moved.days.place_id)
    at = ids.index(stands) if stands in ids else -1
    return Shift(
        "Place",
        rooms[at].name if at >= 0 else "no place free",
        _address(moved, slot, ids[at - 1]) if at > 0 else None,
        _address(moved, slot, ids[at + 1]) if at + 1 < len(ids) else None,
        ("place before", "next place"),
        ("ArrowUp", "ArrowDown"),
    )


def _kept(moved: MovedBoard) -> Slot | None:
    """The half-day of the address, where it names one."""
    return moved.slot if {"on", "step"} & request.args.keys() else None


def _address(moved: MovedBoard, slot: Slot | None, place_id: int | None = None) -> str:
    """The same car at another half-day or place; what the address had beside stays."""
    on, half = half_of(slot) if slot else (None, None)
    place = place_id or key_or_none(request.args.get("place"))
    day = day_asked("day")
    return url_for(
        "diary.move",
        number=moved.job.number,
        on=on.isoformat() if on else None,
        half=half,
        place=place,
        day=day.isoformat() if day else None,
    )


def _slot_words(slot: Slot) -> str:
    return half_day_words(*half_of(slot), shop_now().day, country().date_form)


def _own_words(moved: MovedBoard) -> str:
    """The days that would be saved: "Wednesday morning to Friday afternoon"."""
    today, form = shop_now().day, country().date_form
    told = f"promised for {half_day_words(*moved.days.told, today, form)}" if moved.days.told else "no day promised"
    if moved.job.came_at or moved.days.drop_off is None:
        return told
    return f"drop-off {half_day_words(*moved.days.drop_off, today, form)}, {told}"


def _save_words(moved: MovedBoard) -> str:
    at = next((each.value for each in _shifts(moved) if each.name != "Place"), "")
    return f"Save, {moved.job.number} to {at}" if _kept(moved) and at else f"Save, {moved.job.number}"


def _said(job: Job) -> str:
    today, form = shop_now().day, country().date_form
    back = f"is promised for {half_day_words(job.promise_on, job.promise_half, today, form)}" if job.promise_on else ""
    comes = ""
    if job.drop_off_on and not job.came_at:
        comes = f"comes {half_day_words(job.drop_off_on, job.drop_off_half, today, form)}"
    days = " and ".join(each for each in (comes, back) if each)
    return f"Saved. {job.number} {days}." if days else "Saved."


def _fields(moved: MovedBoard) -> dict[str, str]:
    """What the press sends: the days and the place as they stand on this page."""
    found = {"place_id": str(moved.days.place_id or "")}
    for name, half in (("drop_off", moved.days.drop_off), ("promise", moved.days.told)):
        if half is not None:
            found |= {f"{name}_on": half[0].isoformat(), f"{name}_half": half[1]}
    return found
