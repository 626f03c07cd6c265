"""The day sheet: yesterday corrected in three minutes."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from flask import g, request, url_for
from werkzeug.wrappers import Response

from shopbook.queries.floor.day import Day, Hole, PlacedRow, get_day_sheet
from shopbook.queries.floor.mixes import list_mixes
from shopbook.queries.shop.log import list_late_presses
from shopbook.queries.shop.people import get_person
from shopbook.services.floor.attendance import set_attendance
from shopbook.services.floor.day_sheet import place_time, rest_not_on_car, take_all_guesses
from shopbook.services.floor.entries import Doing
from shopbook.trade.errors import NotAllowed, NotFound, RuleBroken
from shopbook.trade.floor.hours import Interval, parts_in_tenths
from shopbook.trade.floor.words import OTHER_WORDS, ClockWhat
from shopbook.web.floor import words
from shopbook.web.floor.blueprint import blueprint
from shopbook.web.floor.forms import AttendanceForm
from shopbook.web.floor.kept import day_sheet_stands
from shopbook.web.parts import Act, Answer, Done, act_by_form, act_by_press, as_key, needs, now, reader, shop_now
from shopbook.web.parts.late import Concern, may_wait

FIRST_YEAR, LAST_YEAR = 2000, 2199
"""No book holds work of other years, and a calendar cannot count past its first or last day."""

SHORTEST_BAR_HOURS = 1.0


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the sheet: something placed, a gap or lunch, in order of time."""

    interval: Interval
    row: PlacedRow | None = None
    hole: Hole | None = None

    @property
    def span(self) -> str:
        """From and to by the shop's clock."""
        return words.span(self.interval.begins_at, self.interval.ends_at)


def whose() -> int:
    """Whose day is asked for: your own unless another is named; NotAllowed for those who may not see others'."""
    named = request.args.get("person", type=as_key) or g.actor.person_id
    if named != g.actor.person_id and not g.actor.may("floor", "hours"):
        raise NotAllowed("That is somebody else’s day. Ask the desk.")
    return int(named)


def which_day() -> date:
    """The day that is asked for; today unless another is named. NotFound for what is no day, or a day to come."""
    today = shop_now().day
    try:
        on = date.fromisoformat(request.args.get("on", "") or today.isoformat())
    except ValueError:
        raise NotFound("There is no such day.") from None
    if on.year < FIRST_YEAR:
        raise NotFound("There is no such day.")
    if on > today:
        raise NotFound("That day is still to come.")
    return on


def day_url(person_id: int, on: date) -> str:
    """The address of a day sheet."""
    return url_for("floor.day", person=person_id, on=on.isoformat())


def day_of_address() -> Concern:
    """The day sheet of the address, for a press that reaches it late."""
    return day_sheet_stands(whose(), which_day())


@blueprint.route("/day", methods=["GET", "POST"])
@needs("floor", "work")
@may_wait("Arrival and departure", day_of_address)
def day() -> Answer:
    person_id, on = whose(), which_day()
    hours = shop_now().on(on).opening
    sheet = get_day_sheet(reader(), person_id, on, now(), hours)
    form = AttendanceForm(data={"came": _clock(sheet.came_at), "went": _clock(sheet.went_at)})

    def keep(act: Act) -> Done:
        came, went = (hours.moment(on, one) if one else None for one in (form.came.data, form.went.data))
        set_attendance(act, person_id, on, came, went, form.reason.data or "")
        return Done(day_url(person_id, on), "Saved.")

    return act_by_form(form, "floor/day.html", keep, **_shown(sheet, person_id, on))


def _shown(sheet: Day, person_id: int, on: date) -> dict[str, object]:
    today = shop_now().day
    lines = sheet_lines(sheet)
    return {
        "sheet": sheet,
        "lines": lines,
        "bar": bar_blocks(lines),
        "bar_ends": _bar_ends(lines, on),
        "person_shown": get_person(reader(), person_id),
        "on": on,
        "is_today": on == today,
        "before": day_url(person_id, on - timedelta(days=1)),
        "after": day_url(person_id, on + timedelta(days=1)) if on < today else None,
        "today": day_url(person_id, today),
        "late": list_late_presses(reader(), person_id, on),
        "mixes": list_mixes(reader(), on=on, person_id=person_id),
        "people": shop_now().people if g.actor.may("floor", "hours") else [],
        "words": words,
        "other_words": OTHER_WORDS,
        "parts_in_tenths": parts_in_tenths,
        "has_break": any(row.what is ClockWhat.BREAK for row in sheet.rows),
        "wants_reason": on != today or person_id != g.actor.person_id,
    }


def sheet_lines(sheet: Day) -> list[Line]:
    """All lines of a day in order of time."""
    lines = [Line(row.interval, row=row) for row in sheet.rows]
    lines += [Line(hole.interval, hole=hole) for hole in sheet.holes]
    lines += [Line(pause) for pause in sheet.lunch if sheet.rows or sheet.came_at]
    return sorted(lines, key=lambda line: (line.interval.begins_at, line.interval.ends_at))


def bar_blocks(lines: list[Line]) -> list[tuple[float, float, str, str]]:
    """The day as blocks for its drawing: hours of the day as numbers, kind, label."""
    blocks = []
    for line in lines:
        begins, ends = _hour(line.interval.begins_at), _hour(line.interval.ends_at)
        if line.hole is not None:
            blocks.append((begins, ends, "gap", words.hours(line.interval.minutes).removesuffix(" h")))
        elif line.row is None:
            blocks.append((begins, ends, "lunch", "lunch"))
        else:
            numbers = dict.fromkeys(str(share.number) for share in line.row.shares)
            is_break = line.row.what is ClockWhat.BREAK
            blocks.append((begins, ends, "lunch" if is_break else "block", "break" if is_break else " ".join(numbers)))
    return blocks


def _bar_ends(lines: list[Line], on: date) -> tuple[float, float]:
    stretches = shop_now().on(on).opening.stretches_on(on)
    ends = [_hour(moment) for stretch in stretches for moment in stretch]
    ends += [_hour(moment) for line in lines for moment in (line.interval.begins_at, line.interval.ends_at)]
    if not ends:
        return 8.0, 17.0
    # A day with nothing but a line of no length, on which the shop is closed, still needs a width to be drawn.
    return min(ends), max(max(ends), min(ends) + SHORTEST_BAR_HOURS)


def _hour(moment: datetime) -> float:
    local = moment.astimezone(shop_now().zone)
    return local.hour + local.minute / 60


def _clock(moment: datetime | None) -> time | None:
    return None if moment is None else moment.astimezone(shop_now().zone).time().replace(second=0, microsecond=0)


def parse_doing(where: str, note: str = "") -> Doing:
    """What a button or a field chose: "stage:12", "stage:12,13" or what else was done; RuleBroken for nothing."""
    kind, _, keys = where.partition(":")
    if kind == "stage" and all(key.isdecimal() and len(key) < 10 for key in keys.split(",")):
        return Doing(stage_ids=tuple(int(key) for key in keys.split(",")), note=note)
    if kind not in OTHER_WORDS:
        raise RuleBroken("Choose what it was.", "where")
    return Doing(ClockWhat(kind), note=note)


def parse_interval() -> Interval:
    """The stretch that a button names by two moments; NotFound for what is none."""
    try:
        begins, ends = (datetime.fromisoformat(request.values.get(name, "")) for name in ("begins", "ends"))
    except ValueError:
        raise NotFound("That is not a valid time range.") from None
    years = {begins.year, ends.year}
    if begins.tzinfo is None or ends.tzinfo is None or min(years) < FIRST_YEAR or max(years) > LAST_YEAR:
        raise NotFound("That is not a valid time range.")
    return Interval(begins, ends)


@blueprint.post("/day/place")
@needs("floor", "work")
@may_wait("Place time", day_of_address)
def place() -> Response:
    person_id, on, where = whose(), which_day(), request.form.get("where", "")[:200]

    def doing(act: Act) -> Done:
        entry = place_time(act, person_id, parse_interval(), parse_doing(where))
        return Done(day_url(person_id, on), f"{words.hours(entry.minutes)} placed.")

    return act_by_press(doing, day_url(person_id, on))


@blueprint.post("/day/guesses")
@needs("floor", "work")
@may_wait("Accept all guesses", day_of_address)
def guesses() -> Response:
    person_id, on = whose(), which_day()

    def doing(act: Act) -> Done:
        count = take_all_guesses(act, person_id, on)
        return Done(
            day_url(person_id, on),
            f"Filled {count} gap{'s' if count != 1 else ''} by our guess. Change any that is wrong.",
        )

    return act_by_press(doing, day_url(person_id, on))


@blueprint.post("/day/rest")
@needs("floor", "work")
@may_wait("Rest: not on a car", day_of_address)
def rest() -> Response:
    person_id, on = whose(), which_day()

    def doing(act: Act) -> Done:
        count = rest_not_on_car(act, person_id, on)
        return Done(day_url(person_id, on), f"Marked {count} gap{'s' if count != 1 else ''} as not on a car.")

    return act_by_press(doing, day_url(person_id, on))
