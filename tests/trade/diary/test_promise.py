"""Promises: waits that pass overnight, hours already promised, windows, places, and plans that cannot be placed."""

import random
from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise

import pytest

from shopbook.trade.diary.opening import DayHours, HalfDay, OpeningHours
from shopbook.trade.diary.placing import Room, StageNeed
from shopbook.trade.diary.promise import Promise, promise_car
from shopbook.trade.errors import RuleBroken

WEEKDAY = DayHours(time(8), time(17), time(12), time(12, 30))
SHOP = OpeningHours("Europe/London", (WEEKDAY,) * 5 + (None, None))
MONDAY = date(2026, 3, 9)
FULL = 510


def at(day: date, clock: str) -> datetime:
    return SHOP.moment(day, time.fromisoformat(clock))


def room(days: int = 21, **taken: dict[int, int]) -> Room:
    """Every weekday full of free hours, less what is taken: skill to {day after Monday: minutes taken}."""
    free = {}
    for later in range(days):
        day = MONDAY + timedelta(days=later)
        free[day] = {
            skill: FULL - taken.get(skill, {}).get(later, 0) if SHOP.is_working_day(day) else 0
            for skill in ("body", "paint")
        }
    return Room(free)


def promise(*needs: StageNeed, **more: object) -> Promise:
    start = more.pop("start", at(MONDAY, "08:00"))
    return promise_car(needs, SHOP, more.pop("room", room()), start, **more)  # type: ignore[arg-type]


def test_a_short_job_is_ready_the_same_morning() -> None:
    made = promise(StageNeed("pull", "body", 120))
    assert (made.ready_at, made.collect_on, made.collect_half) == (at(MONDAY, "10:00"), MONDAY, HalfDay.MORNING)
    assert made.sentence == "There is time free."


def test_work_stops_for_lunch_and_closing_and_goes_on_the_next_day() -> None:
    made = promise(StageNeed("fill", "body", FULL + 60))
    assert made.ready_at == at(MONDAY + timedelta(days=1), "09:00")


def test_a_wait_passes_overnight_and_the_promise_says_so() -> None:
    made = promise(
        StageNeed("clear", "paint", 450, wait_minutes=16 * 60, wait_words="the clear has to harden"),
        StageNeed("refit", "body", 60, ("clear",)),
    )
    assert made.stages[1].starts_at == at(MONDAY + timedelta(days=1), "08:00")
    assert made.sentence == "The clear has to harden overnight."


def test_a_wait_over_the_weekend_is_said_in_days() -> None:
    made = promise(
        StageNeed("clear", "paint", 400, wait_minutes=16 * 60, wait_words="the clear has to harden"),
        StageNeed("polish", "paint", 30, ("clear",)),
        start=at(MONDAY + timedelta(days=4), "08:00"),
    )
    assert made.collect_on == MONDAY + timedelta(days=7)
    assert made.sentence == "The clear has to harden over 3 days."


def test_hours_promised_to_others_come_first_and_are_named() -> None:
    made = promise(StageNeed("base", "paint", 60), room=room(paint={0: FULL, 1: 400}))
    assert made.stages[0].starts_at == at(MONDAY + timedelta(days=1), "15:10")
    assert made.sentence == "Paint hours are full until Tuesday."


def test_a_promise_near_closing_is_for_the_next_morning() -> None:
    made = promise(StageNeed("fill", "body", FULL - 10))
    assert made.ready_at == at(MONDAY, "16:50")
    assert (made.collect_on, made.collect_half) == (MONDAY + timedelta(days=1), HalfDay.MORNING)


def test_clear_is_not_left_over_the_weekend_on_yesterdays_base() -> None:
    made = promise(
        StageNeed("base", "paint", 480),
        StageNeed("clear", "paint", 60, ("base",), not_after_minutes=24 * 60, in_one_day=True),
        start=at(MONDAY + timedelta(days=4), "08:00"),
    )
    assert [row.starts_at.date() for row in made.stages] == [date(2026, 3, 16), date(2026, 3, 17)]
    assert made.missed == ()


def test_a_coat_is_not_broken_off_at_closing_unless_no_day_could_hold_it() -> None:
    tuesday = MONDAY + timedelta(days=1)
    made = promise(StageNeed("fill", "paint", 480), StageNeed("clear", "paint", 60, ("fill",), in_one_day=True))
    assert made.stages[1].starts_at == at(tuesday, "08:00")
    long = promise(StageNeed("all over", "paint", FULL + 60, in_one_day=True))
    assert long.ready_at == at(tuesday, "09:00")


def test_a_window_that_nothing_can_keep_is_told() -> None:
    made = promise(
        StageNeed("base", "paint", 60, wait_minutes=120, wait_words="the base has to dry"),
        StageNeed("clear", "paint", 60, ("base",), not_after_minutes=60),
    )
    assert made.missed == ("clear",)


def test_a_window_is_kept_to_its_last_minute_and_missed_by_one() -> None:
    """The base dries for an hour, so the clear begins 60 minutes after it: a window of 60 holds it, one of 59 not."""
    for window, missed in ((60, ()), (59, ("clear",))):
        made = promise(
            StageNeed("base", "paint", 60, wait_minutes=60, wait_words="the base has to dry"),
            StageNeed("clear", "paint", 60, ("base",), not_after_minutes=window),
        )
        assert made.missed == missed


def test_a_full_yard_puts_the_car_off_until_there_is_a_place_all_the_way() -> None:
    wednesday = MONDAY + timedelta(days=2)
    made = promise(StageNeed("fill", "body", FULL * 2), free_places={MONDAY: 1, MONDAY + timedelta(days=1): 0})
    assert (made.drop_off_on, made.drop_off_half) == (wednesday, HalfDay.MORNING)
    assert made.why[0] == "no free place before Wednesday"


def test_two_people_of_a_skill_work_side_by_side_and_one_does_not() -> None:
    needs = (StageNeed("left", "body", 120), StageNeed("right", "body", 120))
    two = Room({MONDAY: {"body": 2 * FULL}}, {"body": 2})
    assert promise(*needs, room=two).ready_at == at(MONDAY, "10:00")
    assert promise(*needs).ready_at == at(MONDAY, "12:00")


def test_a_second_panel_is_worked_on_while_the_first_one_dries() -> None:
    made = promise(
        StageNeed("fill left", "body", 60, wait_minutes=16 * 60, wait_words="the filler has to harden"),
        StageNeed("shape left", "body", 60, ("fill left",)),
        StageNeed("fill right", "body", 60),
    )
    by_key = {row.key: row for row in made.stages}
    assert by_key["fill right"].starts_at == at(MONDAY, "09:00")
    assert by_key["shape left"].starts_at == at(MONDAY + timedelta(days=1), "08:00")


def test_a_wait_is_elapsed_time_when_the_clocks_change() -> None:
    saturday = OpeningHours("Europe/London", (None,) * 5 + (WEEKDAY, WEEKDAY))
    day = date(2026, 3, 28)
    need = StageNeed("clear", "paint", 60, wait_minutes=24 * 60, wait_words="the clear has to harden")
    made = promise_car([need], saturday, Room({day: {"paint": FULL}}), saturday.moment(day, time(8)))
    assert made.ready_at == saturday.moment(day + timedelta(days=1), time(10))


@pytest.mark.parametrize(
    ("needs", "words"),
    [
        ((), "The plan is empty"),
        ((StageNeed("a", "body", 1, ("b",)), StageNeed("b", "body", 1, ("a",))), "in a circle"),
        ((StageNeed("a", "body", 1, ("z",)),), "not in the plan"),
        ((StageNeed("a", "body", 1), StageNeed("a", "body", 1)), "same key"),
        ((StageNeed("a", "body", -1),), "below zero"),
        ((StageNeed("a", "glass", 1),), "free glass hours"),
        ((StageNeed("a", "body", FULL * 30),), "not enough free body hours"),
    ],
)
def test_a_plan_that_cannot_be_placed_is_refused_in_a_sentence(needs: tuple[StageNeed, ...], words: str) -> None:
    with pytest.raises(RuleBroken, match=words):
        promise(*needs)


def test_no_place_for_weeks_is_a_sentence_and_a_naive_moment_a_bug() -> None:
    days = {MONDAY + timedelta(days=later): 0 for later in range(200)}
    with pytest.raises(RuleBroken, match=r"no free place|not enough free"):
        promise(StageNeed("a", "body", 1), free_places=days)
    with pytest.raises(ValueError, match="aware"):
        promise_car([StageNeed("a", "body", 1)], SHOP, room(), datetime(2026, 3, 9, 8))  # noqa: DTZ001


def test_three_hundred_random_plans_keep_order_hours_and_capacity() -> None:
    dice = random.Random(5)
    for _ in range(300):
        needs = [
            StageNeed(
                str(place),
                dice.choice(["body", "paint"]),
                dice.randrange(0, 300),
                tuple(str(before) for before in range(place) if dice.random() < 0.4),
                dice.choice([0, 0, 30, 960]),
                "drying",
            )
            for place in range(dice.randrange(1, 9))
        ]
        taken = {skill: {later: dice.randrange(FULL) for later in range(10)} for skill in ("body", "paint")}
        free = room(40, **taken)
        made = promise(*needs, room=free)
        assert made == promise(*needs, room=free)
        by_key = {row.key: row for row in made.stages}
        for need in needs:
            row = by_key[need.key]
            assert all(by_key[key].free_at <= row.starts_at for key in need.after)
            assert SHOP.working_minutes_between(row.starts_at, row.ends_at) >= need.minutes
            assert not need.minutes or SHOP.is_open(row.starts_at)
        for skill in ("body", "paint"):
            rows = sorted((row for row in made.stages if row.skill == skill), key=lambda row: row.starts_at)
            assert all(one.ends_at <= other.starts_at for one, other in pairwise(rows))
        assert made.ready_at == max(row.free_at for row in made.stages)
        assert made.ready_at.tzinfo is UTC or made.ready_at.utcoffset() == timedelta(0)
