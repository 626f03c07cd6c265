"""Stages placed in a given order, against the optimum of a printed flow shop of two stations."""

from datetime import date, datetime, time, timedelta
from itertools import permutations

from shopbook.trade.diary.opening import DayHours, OpeningHours
from shopbook.trade.diary.placing import Room, StageNeed, place_stages

JOBS = {"A": (5, 2), "B": (3, 6), "C": (8, 4), "D": (10, 7), "E": (7, 12)}
SHOP = OpeningHours("UTC", (DayHours(time(8), time(17)),) * 7)
DAY = date(2026, 3, 9)


def span(order: tuple[str, ...]) -> int:
    needs = []
    for job in order:
        first, second = JOBS[job]
        needs += [StageNeed(f"{job}1", "first", first), StageNeed(f"{job}2", "second", second, (f"{job}1",))]
    begin: datetime = SHOP.moment(DAY, time(8))
    placed = place_stages(needs, SHOP, Room({DAY: {"first": 540, "second": 540}}), begin)
    return (max(row.ends_at for row in placed) - begin) // timedelta(minutes=1)


def test_johnsons_order_of_the_printed_flow_shop_ends_after_35_and_no_order_ends_sooner() -> None:
    """Heizer and Render example (kewhl.tripod.com): order B E D C A; 35 is the least of all 120 orders."""
    assert span(("B", "E", "D", "C", "A")) == 35
    assert min(span(order) for order in permutations(JOBS)) == 35
