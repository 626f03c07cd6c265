"""The day a sale counts on for tax, and money split over the rates of its invoice: every figure worked by hand."""

from datetime import UTC, date, datetime

import pytest

from shopbook.trade.results.month import TaxRow
from shopbook.trade.results.tax_basis import (
    BasisLine,
    ClosedSpan,
    TaxBasis,
    TaxPaper,
    TaxPoint,
    basis_on,
    counts_on,
    paper_events,
    part_of,
    tax_day,
)
from shopbook.trade.results.tax_received import MoneyBack, MoneySet, RowsCredited, Step, tax_received
from shopbook.trade.results.tax_span import sum_tax

VAT = TaxRow("vat", "VAT", 20000, 80000, 16000)
UK = TaxPoint(invoice_days=14, counts_prepaid=True)


def moment(month: int, day: int, hour: int = 12) -> datetime:
    return datetime(2026, month, day, hour, tzinfo=UTC)


def nov(day: int) -> date:
    return date(2026, 11, day)


def line(basis: TaxBasis, from_on: date = date(2026, 1, 1)) -> BasisLine:
    return BasisLine(basis, from_on, datetime(2026, 1, 1, tzinfo=UTC))


def paper(issued_on: date, done_on: date, *prepaid: tuple[date, int], rows: tuple[TaxRow, ...] = (VAT,)) -> TaxPaper:
    at = datetime(issued_on.year, issued_on.month, issued_on.day, 12, tzinfo=UTC)
    return TaxPaper("invoice", 1, issued_on, at, done_on, rows, prepaid=prepaid)


@pytest.mark.parametrize(
    ("issued_on", "counts"),
    [
        (date(2026, 12, 3), date(2026, 12, 3)),
        (date(2026, 12, 12), date(2026, 12, 12)),
        (date(2026, 12, 13), nov(28)),
        (date(2026, 12, 20), nov(28)),
        (nov(25), nov(25)),
    ],
)
def test_an_invoice_within_14_days_after_the_work_counts_on_its_own_day_else_the_work_does(
    issued_on: date, counts: date
) -> None:
    """Done Nov 28: Dec 3 is December, Dec 20 November; the 14th day is Dec 12. VAT Act 1994 s. 6(3) to (5)."""
    assert tax_day(issued_on, nov(28), 14) == counts


def test_without_such_a_rule_the_day_of_supply_counts() -> None:
    assert tax_day(date(2026, 12, 3), nov(28), 0) == nov(28)


def test_money_before_the_work_was_done_counts_on_its_own_day_as_far_as_it_goes() -> None:
    """VAT Act 1994 s. 6(4): 960.00, work done Nov 28, invoiced Dec 3; 300.00 came on Nov 20: 50.00 counts then."""
    told = paper(date(2026, 12, 3), nov(28), (nov(20), 30000))
    first, rest = paper_events(told, line(TaxBasis.SUPPLY), UK, ())
    assert (first.counts_on, first.rows[0].basis_minor, first.rows[0].tax_minor) == (nov(20), 25000, 5000)
    assert (rest.counts_on, rest.rows[0].basis_minor, rest.rows[0].tax_minor) == (date(2026, 12, 3), 55000, 11000)


def test_money_that_came_after_the_day_of_the_work_moves_nothing() -> None:
    told = paper(date(2026, 12, 20), nov(28), (date(2026, 12, 2), 30000))
    assert [event.counts_on for event in paper_events(told, line(TaxBasis.SUPPLY), UK, ())] == [nov(28)]


def test_by_invoice_the_day_of_the_paper_counts_and_so_it_does_before_anybody_said_anything() -> None:
    told = paper(date(2026, 12, 20), nov(28), (nov(20), 30000))
    for held in (None, line(TaxBasis.INVOICE)):
        assert [event.counts_on for event in paper_events(told, held, UK, ())] == [date(2026, 12, 20)]


def test_a_corrected_invoice_counts_on_the_day_it_is_issued() -> None:
    told = TaxPaper("invoice", 2, date(2026, 12, 20), moment(12, 20), nov(28), (VAT,), is_correction=True)
    assert [event.counts_on for event in paper_events(told, line(TaxBasis.SUPPLY), UK, ())] == [date(2026, 12, 20)]


def test_what_belongs_into_a_closed_month_counts_on_the_first_open_day_and_stands_by_itself() -> None:
    """November closed on Dec 5, work done Nov 28, invoiced Dec 20: it counts in December, on a row of its own."""
    closings = [ClosedSpan(moment(12, 5), nov(30))]
    (event,) = paper_events(paper(date(2026, 12, 20), nov(28)), line(TaxBasis.SUPPLY), UK, closings)
    assert (event.on, event.counts_on, event.is_late) == (nov(28), date(2026, 12, 1), True)
    november = sum_tax([event], nov(1), nov(30))
    december = sum_tax([event], date(2026, 12, 1), date(2026, 12, 31))
    assert (november.basis_minor, november.tax_minor, november.late) == (0, 0, ())
    assert (december.taxed, december.basis_minor, december.tax_minor) == ((), 80000, 16000)
    assert [(row.kind, row.number, row.on) for row in december.late] == [("invoice", 1, nov(28))]


def test_a_paper_from_before_the_closing_stays_in_its_month_and_reopening_moves_nothing() -> None:
    closed = ClosedSpan(moment(12, 5), nov(30))
    reopened = ClosedSpan(moment(12, 5), nov(30), moment(12, 7))
    assert counts_on(nov(28), moment(12, 4), [closed]) == nov(28)
    assert counts_on(nov(28), moment(12, 6), [reopened]) == date(2026, 12, 1)
    assert counts_on(nov(28), moment(12, 8), [reopened]) == nov(28)
    assert counts_on(date(2026, 10, 28), moment(12, 8), [reopened]) == nov(1)


def test_the_later_of_two_bases_set_for_one_day_holds() -> None:
    wrong = BasisLine(TaxBasis.INVOICE, nov(1), moment(11, 1))
    right = BasisLine(TaxBasis.SUPPLY, nov(1), moment(11, 2))
    assert basis_on([right, wrong], nov(5)) == right
    assert basis_on([right, wrong], date(2026, 10, 31)) is None


def test_a_part_of_an_invoice_is_exact_to_the_unit() -> None:
    """333.33 of 800.00 + 160.00 is 277.77 + 55.56; three such parts leave what rounding left to the last."""
    (row,) = part_of([VAT], 33333)
    assert (row.basis_minor, row.tax_minor) == (27777, 5556)


def paid(amount: int, day: int, payment: int = 1, of_paper: int = 1) -> MoneySet:
    return MoneySet(payment, of_paper, amount, nov(day), moment(11, day), nov(day))


def taxes(steps: list[Step], papers: dict[int, tuple[TaxRow, ...]] | None = None) -> list[tuple[date, int]]:
    """(day, tax) of each part that counts, zeros left out."""
    found: dict[date, int] = {}
    for row in tax_received(papers or {1: (VAT,)}, steps):
        found[row.on] = found.get(row.on, 0) + sum(each.tax_minor for each in row.rows)
    return [(day, tax) for day, tax in found.items() if tax]


def test_each_payment_is_split_over_the_rates_of_its_invoice_and_the_last_takes_the_rest() -> None:
    """960.00 with 160.00 tax, paid 300.00 and 660.00: 50.00 and 110.00. VAT Regulations 1995 reg. 57: when it comes."""
    assert taxes([paid(30000, 20), paid(66000, 25, 2)]) == [(nov(20), 5000), (nov(25), 11000)]


def test_three_payments_come_to_the_tax_of_the_invoice_to_the_unit() -> None:
    """100.00 with 16.67 tax paid in thirds: 5.56, 5.55 and 5.56 are 16.67."""
    rows = (TaxRow("vat", "VAT", 20000, 8333, 1667),)
    parts = taxes([paid(3333, 1), paid(3333, 2, 2), paid(3334, 3, 3)], {1: rows})
    assert sum(tax for _, tax in parts) == 1667
    assert max(tax for _, tax in parts) - min(tax for _, tax in parts) <= 1


def test_a_payment_is_split_over_two_rates_and_what_is_not_taxed() -> None:
    """110.00 + 22.00 at 20 %, 100.00 + 5.00 at 5 %, 63.00 not taxed, 300.00 in all; 100.00 paid: a third of each."""
    rows = (
        TaxRow("vat", "VAT", 20000, 11000, 2200),
        TaxRow("low", "VAT, low", 5000, 10000, 500),
        TaxRow("none", "Outside VAT", 0, 6300, 0, "fee"),
    )
    (part,) = tax_received({1: rows}, [paid(10000, 5)])
    assert [(row.basis_minor, row.tax_minor) for row in part.rows] == [(3667, 733), (3333, 167), (2100, 0)]
    assert sum(row.basis_minor + row.tax_minor for row in part.rows) == 10000


def test_a_credit_counts_when_the_money_goes_back_not_when_it_is_written() -> None:
    """960.00 paid Nov 5; 240.00 credited Nov 10, given back Nov 20: 160.00 less 40.00 on Nov 20."""
    note = RowsCredited(1, moment(11, 10), (TaxRow("vat", "VAT", 20000, -20000, -4000),))
    steps: list[Step] = [paid(96000, 5), note, paid(-24000, 10), MoneyBack(1, 24000, nov(20), moment(11, 20))]
    assert taxes(steps) == [(nov(5), 16000), (nov(20), -4000)]


def test_a_refund_that_was_itself_taken_back_counts_once_more() -> None:
    """240.00 of it given back Nov 20, taken back Nov 21, given back rightly Nov 22: −40.00, +40.00, −40.00."""
    note = RowsCredited(1, moment(11, 10), (TaxRow("vat", "VAT", 20000, -20000, -4000),))
    back = [MoneyBack(1, amount, nov(day), moment(11, day)) for amount, day in ((24000, 20), (-24000, 21), (24000, 22))]
    steps: list[Step] = [paid(96000, 5), note, paid(-24000, 10), *back]
    assert taxes(steps) == [(nov(5), 16000), (nov(20), -4000), (nov(21), 4000), (nov(22), -4000)]


def test_money_that_moves_to_the_corrected_invoice_counts_once() -> None:
    """960.00 less nothing; corrected to 912.00 on Nov 10 and 48.00 given back: 160.00 on Nov 5, −8.00 on Nov 10."""
    corrected = (TaxRow("vat", "VAT", 20000, 76000, 15200),)
    note = RowsCredited(1, moment(11, 10), (TaxRow("vat", "VAT", 20000, -80000, -16000),))
    steps: list[Step] = [
        paid(96000, 5),
        note,
        paid(-96000, 10),
        paid(91200, 10, of_paper=2),
        MoneyBack(1, 4800, nov(10), moment(11, 10)),
    ]
    assert taxes(steps, {1: (VAT,), 2: corrected}) == [(nov(5), 16000), (nov(10), -800)]


def test_two_payments_freed_by_one_credit_note_keep_what_each_counted() -> None:
    """Paid 300.00 and 660.00, credited whole, the second given back on Nov 20: −110.00."""
    note = RowsCredited(1, moment(11, 10), (TaxRow("vat", "VAT", 20000, -80000, -16000),))
    steps: list[Step] = [
        paid(30000, 5),
        paid(66000, 6, 2),
        note,
        paid(-30000, 10),
        paid(-66000, 10, 2),
        MoneyBack(2, 66000, nov(20), moment(11, 20)),
    ]
    assert taxes(steps) == [(nov(5), 5000), (nov(6), 11000), (nov(20), -11000)]


def test_a_cheque_that_comes_back_takes_its_tax_back_on_the_day_it_came_back() -> None:
    steps: list[Step] = [paid(96000, 5), paid(-96000, 20), MoneyBack(1, 96000, nov(20), moment(11, 20))]
    assert taxes([*steps, paid(96000, 25, 2)]) == [(nov(5), 16000), (nov(20), -16000), (nov(25), 16000)]


def test_money_held_counts_on_the_day_it_came_once_an_invoice_says_at_which_rates() -> None:
    held = MoneySet(1, 1, 30000, nov(28), moment(11, 28), nov(20))
    assert taxes([held]) == [(nov(20), 5000)]
