"""Hours sold are planned hours of what is invoiced, or hours billed by the hour; money says nothing of them."""

from datetime import date, datetime, timedelta

from shopbook.trade.results.hours_sold import SoldItem, SoldLine, SoldPaper, hours_sold
from tests.conftest import NOON

DOOR, ESTIMATE = 1, 2
ITEMS = {DOOR: SoldItem(360), ESTIMATE: SoldItem(150, is_by_hours=True)}


def item_at(item: int, at: datetime) -> SoldItem | None:
    return ITEMS.get(item)


def paper(days: int, *lines: SoldLine, is_credit: bool = False) -> SoldPaper:
    at = NOON + timedelta(days=days)
    return SoldPaper(at.date(), at, is_credit, lines)


def minutes(*papers: SoldPaper) -> list[int]:
    return [each for _, each in hours_sold(papers, item_at)]


WHOLE = paper(0, SoldLine(DOOR, 40000, 360), SoldLine(DOOR, 10000), SoldLine(ESTIMATE, 11700, 108))


def test_planned_hours_and_hours_billed_are_sold_and_a_goodwill_takes_none_back() -> None:
    goodwill = paper(2, SoldLine(DOOR, -10000), is_credit=True)
    rest = [SoldLine(DOOR, -40000), SoldLine(ESTIMATE, -11700)]
    assert minutes(WHOLE, goodwill, paper(27, *rest, is_credit=True)) == [468, 0, -468]


def test_a_typed_price_changes_no_hours() -> None:
    assert minutes(paper(0, SoldLine(DOOR, 100))) == [360]


def test_the_rest_of_an_item_sells_its_planned_hours_no_second_time() -> None:
    assert minutes(WHOLE, paper(3, SoldLine(DOOR, 5000), SoldLine(ESTIMATE, 3900, 36))) == [468, 36]


def test_a_correction_sells_what_its_credit_note_took_back() -> None:
    back = paper(5, SoldLine(DOOR, -50000), SoldLine(ESTIMATE, -11700), is_credit=True)
    again = paper(5, SoldLine(DOOR, 45000), SoldLine(ESTIMATE, 11700, 108))
    assert minutes(WHOLE, back, again) == [468, -468, 468]


def test_an_invoice_from_before_minutes_were_kept_sells_what_was_planned() -> None:
    assert minutes(paper(0, SoldLine(ESTIMATE, 11700))) == [150]


def test_what_nobody_approved_sells_none_and_each_paper_keeps_its_day() -> None:
    assert hours_sold([paper(0, SoldLine(77, 5000, 40))], item_at) == [(date(2026, 11, 5), 0)]
