"""Words of the floor's pages: hours, panels, states as tags, quantities in the shop's units."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from shopbook.queries.floor.day import NamedStage
from shopbook.queries.floor.rows import WorkRow
from shopbook.queries.floor.windows import RunningWait
from shopbook.trade.diary.late import LateCar
from shopbook.trade.errors import RuleBroken
from shopbook.trade.floor.hours import to_tenths
from shopbook.trade.floor.readiness import Hold
from shopbook.trade.floor.words import ask_second, say_running, second_words
from shopbook.trade.measures.locales import write_list
from shopbook.trade.measures.quantities import format_quantity
from shopbook.trade.measures.units import Unit
from shopbook.web.parts import clock_text, country, day_text, near_day, now, shop_now

SKILL_WORDS = {"body": "body", "paint": "paint", "detail": "detail"}
_OVER = {"harden": "hard since", "dry": "dry since", "cure": "cured since", "flash": "flashed off since"}


_RUNNING = {"harden": "hardening", "dry": "drying", "cure": "curing", "flash": "flashing off"}


@dataclass(frozen=True, slots=True)
class Tag:
    """A state in words; kind is good, wait, warn, late or empty."""

    kind: str
    words: str


def hours(minutes: int) -> str:
    """Minutes as hours with one decimal: "0.6 h"."""
    return to_tenths(minutes)


def quantity(thousandths: int, unit: str) -> str:
    """An amount in the shop's unit of that kind: "260 ml"."""
    units = shop_now().units
    shown = units.shown(Unit(unit))
    places = 0 if shown in {Unit.ML, Unit.G} else None
    return format_quantity(thousandths, shown, places=places, locale=units.locale)


def panels(codes: tuple[str, ...] | list[str]) -> str:
    """Panels by the country's words of the floor: "RH rear door, RH quarter panel"."""
    return ", ".join(country().floor_panel(code) for code in codes)


def temperature(celsius: float) -> str:
    """A temperature in the shop's unit: "68 °F"."""
    units = shop_now().units
    return format_quantity(round(celsius * 1000), units.shown(Unit.C), places=0, locale=units.locale)


def when(moment: datetime) -> str:
    """A moment near now: "9:56" today, "Fri 9:40" within a week, else with its date."""
    today = shop_now().day
    day = shop_now().day_of(moment)
    if day == today:
        return clock_text(moment)
    if 0 < (day - today).days < 7:
        return f"{day:%a} {clock_text(moment)}"
    return f"{day_text(day)}, {clock_text(moment)}"


def span(begins_at: datetime, ends_at: datetime) -> str:
    """From and to: "8:12–9:00"; am or pm is written once where both are the same."""
    begins, ends = clock_text(begins_at), clock_text(ends_at)
    half = begins.rpartition(" ")[2]
    if " " in begins and ends.endswith(f" {half}"):
        begins = begins.removesuffix(f" {half}")
    return f"{begins}–{ends}"


def _next_open(moment: datetime) -> datetime:
    """The moment itself, or when the shop next opens after it; the moment for a shop without hours."""
    try:
        return shop_now().on(shop_now().day_of(moment)).opening.next_open(moment)
    except RuleBroken:
        return moment


def opens(moment: datetime) -> str:
    """When work may continue after drying: the moment, or when the shop next opens after it."""
    return when(_next_open(moment))


def waits(wait: RunningWait) -> str:
    """What the time after a stage does: "Prime: hardening since 9:10", "Prime: dry since 14:10"."""
    if wait.is_over(now()):
        return f"{wait.stage}: {_OVER.get(wait.kind, 'ready since')} {when(wait.ready_at)}"
    return f"{wait.stage}: {_RUNNING.get(wait.kind, 'drying')} since {when(wait.since_at)}"


def left_until(moment: datetime) -> str:
    """How long it is until then, as a clock reads: "0:45"."""
    return say_running(int(-((now() - moment).total_seconds() // 60)))


def below(row: WorkRow) -> str:
    """The second line of a row: hours, what with, where the car stands, its key, who is on it."""
    people = f"{write_list(row.others)} on it" if row.others else f"started by {row.begun_by}" if row.begun_by else ""
    key = f"key {row.key_number}" if row.key_number else ""
    left = (
        f"{hours(row.used_minutes)} of {hours(row.planned_minutes)}" if row.used_minutes else hours(row.planned_minutes)
    )
    return " · ".join(part for part in (left, row.uses, row.place, key, people) if part)


def at_car(row: WorkRow) -> str:
    """The second line of what runs, for somebody who stands between two cars: car, key, place, panels, grits or mix."""
    key = f"key {row.key_number}" if row.key_number else ""
    return " · ".join(part for part in (row.car, key, row.place, panels(row.panels), row.uses) if part)


def running_on(stages: Iterable[NamedStage]) -> str:
    """What stands in the way of a start: "Your clock is running on 1042 Prime."."""
    return ask_second(write_list([f"{stage.number} {stage.name}" for stage in stages]))


def second(besides: Iterable[NamedStage]) -> dict[str, str]:
    """The answers to it, by what they send."""
    return second_words(1 + len({stage.job_id for stage in besides}))


def go_on(rows: Iterable[WorkRow]) -> str:
    """The press that starts cars together again that were paused together."""
    cars = len({row.job_id for row in rows})
    return f"Go on with {'both' if cars == 2 else f'all {cars}'}"


def tags(row: WorkRow) -> list[Tag]:
    """The states of a row that can be worked on: promise, approval, what it waited for, when its window closes."""
    found = [_promise(row), _approval(row), _purpose(row), _window(row), _waited(row)]
    return [tag for tag in found if tag is not None][:2]


def late(cars: Mapping[int, LateCar]) -> dict[int, Tag]:
    """Cars that cannot go out as promised, by job id, in the words of every other page."""
    today, form = shop_now().day, country().date_form
    return {job_id: Tag("late", car.tag_words(today, form)) for job_id, car in cars.items()}


def hold(row: WorkRow) -> Tag:
    """Why a row cannot be worked on yet."""
    ready = row.readiness
    first = ready.holds[0] if ready.holds else Hold.NOT_APPROVED
    if first is Hold.WAIT and ready.ready_at is not None:
        return Tag("wait", f"from {opens(ready.ready_at)}")
    kind = {
        Hold.NOT_HERE: "",
        Hold.PREDECESSOR: "wait",
        Hold.PART: "warn",
        Hold.WAIT: "wait",
        Hold.WINDOW: "late",
        Hold.NOT_APPROVED: "late",
    }
    return Tag(kind[first], ready.sentence or "not approved yet")


def held_below(row: WorkRow) -> str:
    """The second line of a row that waits: the wait's reason, the part's day, when the car is due."""
    ready = row.readiness
    if Hold.NOT_HERE in ready.holds:
        half = f", {row.drop_off_half}" if row.drop_off_half else ""
        due = f"due {near_day(row.drop_off_on)}{half}" if row.drop_off_on else "no day set"
        return f"{hours(row.planned_minutes)} · {due}"
    if Hold.PART in ready.holds and ready.part is not None:
        due = f"due {near_day(ready.part.due_on)}" if ready.part.due_on else "no day set"
        return f"{ready.part.name}, {due}"
    if Hold.WAIT in ready.holds and row.wait is not None:
        return row.wait.reason.split(". ")[0]
    return below(row)


def _promise(row: WorkRow) -> Tag | None:
    today = shop_now().day
    if row.promise_on is None or row.promise_on > today:
        return None
    if row.promise_on == today:
        return Tag("late", "due out this morning" if row.promise_half == "morning" else "due out today")
    return Tag("late", f"was promised {near_day(row.promise_on)}")


def _approval(row: WorkRow) -> Tag | None:
    if not row.readiness.is_not_approved:
        return None
    return Tag("late", "not approved, do not start" if row.is_refused else "not approved, not billable yet")


def _purpose(row: WorkRow) -> Tag | None:
    words = {
        "rework": "rework",
        "goodwill": "goodwill",
        "own_car": "our own car",
        "strip_and_look": "strip and inspect",
    }
    return Tag("warn", words[row.purpose]) if row.purpose in words else None


def _window(row: WorkRow) -> Tag | None:
    shuts = row.readiness.shuts_at
    if shuts is None or row.readiness.is_past_window or shuts < now():
        return None
    return Tag("warn", f"start by {when(shuts)}")


def _waited(row: WorkRow) -> Tag | None:
    if row.wait is None or not row.wait.is_over(now()) or row.wait.ready_at == row.wait.since_at:
        return None
    return Tag("good", f"{_OVER.get(row.wait.kind, 'ready since')} {when(row.wait.ready_at)}")
