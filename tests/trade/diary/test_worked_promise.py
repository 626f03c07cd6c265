"""The worked example of a promise: a palm-size dent, one panel, nobody else, open 8:00 to 12:00 and 12:30 to 16:30."""

from datetime import date, datetime, time, timedelta

from shopbook.trade.diary.opening import DayHours, HalfDay, OpeningHours
from shopbook.trade.diary.placing import CoatAsked, Room, StageNeed
from shopbook.trade.diary.promise import Promise, promise_car
from shopbook.trade.floor.waits import scaled_minutes

SHOP = OpeningHours("Europe/London", (DayHours(time(8), time(16, 30), time(12), time(12, 30)),) * 5 + (None, None))
MONDAY = date(2026, 3, 9)
TUESDAY, WEDNESDAY = MONDAY + timedelta(days=1), MONDAY + timedelta(days=2)
CURE = 16 * 60


def at(day: date, clock: str) -> datetime:
    return SHOP.moment(day, time.fromisoformat(clock))


def needs(cure: int = CURE) -> list[StageNeed]:
    """Hours as a painter reckons them: 0.6 strip, 0.8 pull, 1.2 fill, 0.7 prime, and so on."""
    return [
        StageNeed("strip", "body", 36),
        StageNeed("pull", "body", 48, ("strip",)),
        StageNeed("fill", "body", 72, ("pull",)),
        StageNeed("prime", "paint", 42, ("fill",), in_one_day=True),
        StageNeed("block", "paint", 42, ("prime",), coats=(CoatAsked("prime", 180, "a coat has to dry"),)),
        StageNeed("colour", "paint", 18, ("block",)),
        StageNeed("prepare", "paint", 24, ("colour",)),
        StageNeed("mask", "paint", 36, ("prepare",)),
        StageNeed("clear", "paint", 60, ("mask",), in_one_day=True, flash_minutes=40),
        StageNeed("unmask", "paint", 18, ("clear",), coats=(CoatAsked("clear", 45),)),
        StageNeed("polish", "paint", 30, ("unmask",), coats=(CoatAsked("clear", cure, "the paint has to cure"),)),
        StageNeed("refit", "body", 48, ("polish",), coats=(CoatAsked("clear", 420),)),
    ]


def promised(day: date = MONDAY, cure: int = CURE) -> tuple[Promise, dict[str, tuple[datetime, datetime]]]:
    days = [MONDAY + timedelta(days=later) for later in range(14)]
    room = Room({each: dict.fromkeys(("body", "paint"), 480 if SHOP.is_working_day(each) else 0) for each in days})
    made = promise_car(needs(cure), SHOP, room, at(day, "08:00"))
    return made, {row.key: (row.starts_at, row.ends_at) for row in made.stages}


def test_the_worked_example_of_a_promise_comes_out_to_the_minute() -> None:
    made, times = promised()
    ends = {"strip": "08:36", "pull": "09:24", "fill": "10:36", "prime": "11:18", "mask": "16:18"}
    assert {key: times[key][1] for key in ends} == {key: at(MONDAY, clock) for key, clock in ends.items()}
    assert times["block"][0] == at(MONDAY, "14:18")
    assert times["clear"] == (at(TUESDAY, "08:00"), at(TUESDAY, "09:40"))
    assert times["unmask"][0] == at(TUESDAY, "10:25")
    assert times["polish"][0] == at(WEDNESDAY, "08:00")
    assert made.ready_at == at(WEDNESDAY, "09:18")
    assert "the paint has to cure overnight" in made.why


def test_a_cure_is_counted_from_the_last_coat_whatever_becomes_of_unmasking() -> None:
    """From Tuesday 9:40 on, at 12 °C: 16 h × 2^0.8 = 27 h 51.4 min, and what must have dried is rounded up."""
    cold = scaled_minutes(CURE, 12).minutes
    assert cold == 27 * 60 + 52
    made, times = promised(cure=cold)
    assert times["polish"][0] == at(WEDNESDAY, "13:32")
    assert made.ready_at == at(WEDNESDAY, "14:50")


def test_in_on_friday_no_base_is_laid_before_the_weekend() -> None:
    made, times = promised(MONDAY + timedelta(days=4))
    next_monday = MONDAY + timedelta(days=7)
    assert times["clear"] == (at(next_monday, "08:00"), at(next_monday, "09:40"))
    assert (made.collect_on, made.collect_half) == (next_monday + timedelta(days=1), HalfDay.MORNING)
