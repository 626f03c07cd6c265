"""What is summed of a job's papers: by kind and day, what stands on a day, and what is billed of an item."""

from datetime import UTC, date, datetime

from shopbook.trade.billing import LineKind
from shopbook.trade.results.hours_sold import SoldLine
from shopbook.trade.results.papers import (
    BilledLine,
    BilledPaper,
    as_sold,
    billed_by_item,
    gross_of,
    has_invoice,
    invoiced_on,
    is_invoiced_by,
    net_by_kind,
)

THIRD, NINTH = date(2026, 11, 3), date(2026, 11, 9)
FIRST, LAST = date(2026, 11, 1), date(2026, 11, 30)


def paper(key: int, kind: str, day: date, *lines: BilledLine, gross: int = 80_300, **given: int) -> BilledPaper:
    moment = datetime(day.year, day.month, day.day, 12, tzinfo=UTC)
    return BilledPaper(key, 1, kind, day, moment, gross, lines=lines, **given)


HOURS, CAN = BilledLine(LineKind.LABOUR, 70_300, 4, 540), BilledLine(LineKind.MATERIALS, 10_000)
INVOICE = paper(1, "invoice", THIRD, HOURS, CAN)
CREDIT = paper(2, "credit", NINTH, BilledLine(LineKind.LABOUR, -70_300, 4), gross=-80_300, credits_id=1)


def test_803_invoiced_on_the_third_and_credited_whole_on_the_ninth_stands_until_the_eighth() -> None:
    assert is_invoiced_by([INVOICE, CREDIT], date(2026, 11, 8))
    assert not is_invoiced_by([INVOICE, CREDIT], NINTH)
    assert not is_invoiced_by([INVOICE], date(2026, 11, 2))
    part = paper(2, "credit", NINTH, gross=-10_000, credits_id=1)
    assert is_invoiced_by([INVOICE, part], NINTH)
    assert not is_invoiced_by([paper(3, "deposit", THIRD)], LAST)


def test_sales_by_kind_count_on_the_day_of_their_paper() -> None:
    assert net_by_kind([INVOICE, CREDIT], FIRST, THIRD) == {LineKind.LABOUR: 70_300, LineKind.MATERIALS: 10_000}
    assert net_by_kind([INVOICE, CREDIT], FIRST, LAST) == {LineKind.LABOUR: 0, LineKind.MATERIALS: 10_000}
    assert (gross_of([INVOICE, CREDIT], FIRST, THIRD), gross_of([INVOICE, CREDIT], FIRST, LAST)) == (80_300, 0)


def test_a_corrected_invoice_is_an_invoice_but_no_first_one() -> None:
    again = paper(5, "invoice", NINTH, corrects_id=1)
    assert invoiced_on([again, INVOICE, CREDIT], LAST) == (THIRD,)
    assert has_invoice([again], NINTH, LAST)
    assert not has_invoice([CREDIT], FIRST, LAST)


def test_an_item_credited_whole_is_not_billed_and_a_fee_never_counts() -> None:
    fee = paper(6, "fee", THIRD, BilledLine(LineKind.FEE, 2_000, 9))
    assert billed_by_item([INVOICE, fee], LAST) == (80_300, {4: 70_300})
    assert billed_by_item([INVOICE, fee, CREDIT], LAST) == (10_000, {})
    assert billed_by_item([INVOICE, CREDIT], THIRD) == (80_300, {4: 70_300})


def test_hours_are_sold_by_lines_that_stand_in_items() -> None:
    sold, back = as_sold([INVOICE, paper(3, "deposit", THIRD), CREDIT], LAST)
    assert (sold.is_credit, sold.lines) == (False, (SoldLine(4, 70_300, 540),))
    assert (back.is_credit, back.lines) == (True, (SoldLine(4, -70_300),))
    assert as_sold([INVOICE, CREDIT], THIRD) == [sold]
