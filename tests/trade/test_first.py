"""What comes first this morning: each branch of the order with its figures, one row a job, three at most."""

import random
from datetime import UTC, datetime, timedelta
from itertools import permutations

import pytest

from shopbook.trade.first import AT_MOST, FirstJob, Pressing, Reason, first_of

NOW = datetime(2026, 12, 1, 16, 10, tzinfo=UTC)
"""8:10 in the morning of a shop by the Pacific."""
EVENING = NOW + timedelta(hours=9)
NOON = NOW + timedelta(hours=4)
FRIDAY = NOW - timedelta(days=4)
TOMORROW = EVENING + timedelta(days=1)


def numbers(*jobs: Pressing) -> list[int]:
    return [row.number for row in first_of(jobs, NOW, EVENING)]


def reason(job: Pressing) -> Reason | None:
    found = first_of([job], NOW, EVENING)
    return found[0].reason if found else None


BROKEN = Pressing(60, promised_until=FRIDAY, ready_by=EVENING)
UNMET = Pressing(64, promised_until=EVENING, ready_by=TOMORROW)
PICKUP = Pressing(58, pickup_at=NOW + timedelta(minutes=110), lacks="no invoice yet")
STOPPED = Pressing(67, stopped_by="paint mixed for this car")
MONEY = Pressing(51, overdue_minor=212_334)


def test_the_order_is_broken_then_unmet_then_pickup_then_stopped_then_money() -> None:
    jobs = (BROKEN, UNMET, PICKUP, STOPPED, MONEY)
    for order in permutations(jobs):
        assert numbers(*order) == [60, 64, 58]
    assert numbers(MONEY, STOPPED, PICKUP) == [58, 67, 51]


def test_of_broken_promises_the_oldest_comes_first() -> None:
    older = Pressing(70, promised_until=FRIDAY - timedelta(days=1), ready_by=EVENING)
    assert numbers(BROKEN, older) == [70, 60]


def test_a_promise_of_this_morning_is_broken_once_the_morning_is_over() -> None:
    job = Pressing(64, promised_until=NOON, ready_by=NOON)
    assert reason(job) is None
    assert first_of([job], NOON + timedelta(minutes=1), EVENING) == (FirstJob(64, Reason.BROKEN),)


def test_a_promise_of_today_is_named_where_the_car_is_ready_later_or_on_no_day() -> None:
    assert reason(UNMET) is Reason.UNMET
    assert reason(Pressing(64, promised_until=EVENING, ready_by=EVENING)) is None
    assert reason(Pressing(64, promised_until=EVENING)) is Reason.UNMET
    assert numbers(UNMET, Pressing(65, promised_until=NOON, ready_by=EVENING)) == [65, 64]


def test_a_promise_of_tomorrow_is_no_matter_of_this_morning() -> None:
    assert reason(Pressing(64, promised_until=TOMORROW, ready_by=TOMORROW + timedelta(days=1))) is None


@pytest.mark.parametrize(("minutes", "found"), [(120, Reason.PICKUP), (121, None), (-30, Reason.PICKUP)])
def test_a_pickup_within_two_hours_is_named_where_something_is_missing(minutes: int, found: Reason | None) -> None:
    at = NOW + timedelta(minutes=minutes)
    assert reason(Pressing(58, pickup_at=at, lacks="no invoice yet")) is found
    assert reason(Pressing(58, pickup_at=at)) is None


def test_of_pickups_the_earliest_and_of_stopped_stages_the_one_promised_first() -> None:
    assert numbers(PICKUP, Pressing(59, pickup_at=NOW, lacks="not told yet")) == [59, 58]
    promised = Pressing(68, promised_until=TOMORROW, ready_by=TOMORROW, stopped_by="37 ml of 2K primer")
    assert numbers(STOPPED, promised) == [68, 67]


def test_of_money_overdue_the_largest_comes_first() -> None:
    assert numbers(MONEY, Pressing(52, overdue_minor=154_541), Pressing(53, overdue_minor=300_000)) == [53, 51, 52]


def test_a_job_stands_once_with_its_most_pressing_reason() -> None:
    job = Pressing(60, promised_until=FRIDAY, stopped_by="brackets", overdue_minor=90_000)
    assert first_of([job, MONEY], NOW, EVENING) == (FirstJob(60, Reason.BROKEN), FirstJob(51, Reason.MONEY))


def test_whatever_happens_there_are_three_at_most_one_a_job_in_the_order_of_reasons() -> None:
    dice = random.Random(3)
    for _ in range(400):
        jobs = [_any_job(dice, number) for number in range(dice.randrange(12))]
        found = first_of(jobs, NOW, EVENING)
        ranks = [list(Reason).index(row.reason) for row in found]
        assert len(found) <= AT_MOST
        assert len({row.number for row in found}) == len(found)
        assert ranks == sorted(ranks)
        shown = {row.number for row in found}
        left = [list(Reason).index(each) for job in jobs if job.number not in shown and (each := reason(job))]
        assert not left or (len(found) == AT_MOST and min(left) >= ranks[-1])


def _any_job(dice: random.Random, number: int) -> Pressing:
    moments = [None, FRIDAY, NOW - timedelta(minutes=1), NOON, EVENING, TOMORROW]
    return Pressing(
        number,
        promised_until=dice.choice(moments),
        ready_by=dice.choice(moments),
        pickup_at=dice.choice(moments),
        lacks=dice.choice(["", "no invoice yet"]),
        stopped_by=dice.choice(["", "brackets"]),
        overdue_minor=dice.choice([0, 0, 90_000, 212_334]),
    )
