"""Bills: prices with and without tax, whole-bill discounts, two taxes under one code, bad input."""

import random

import pytest

from shopbook.trade.billing import (
    Bill,
    BillLine,
    LineKind,
    TaxKind,
    TaxPart,
    TaxRate,
    discount_of,
    due_minor,
    make_bill,
    parse_rate,
    rate_words,
)
from shopbook.trade.errors import RuleBroken

STANDARD = TaxRate("S", "VAT 20 %", 20_000)
ODD = TaxRate("L", "sales tax", 8_875)
EXEMPT = TaxRate("E", "exempt", 0, TaxKind.EXEMPT)
TWO = TaxRate("B", "GST and PST", 12_000, parts=(TaxPart("GST", 5_000), TaxPart("PST", 7_000)))
RATES = [STANDARD, ODD, EXEMPT, TWO]


def line(amount: int, code: str = "S", kind: LineKind = LineKind.LABOUR) -> BillLine:
    return BillLine(kind, "work", amount, code)


def test_tax_is_taken_on_the_sum_of_a_rate_and_not_line_by_line() -> None:
    bill = make_bill([line(333), line(333), line(334)], RATES)
    assert [row.tax_minor for row in bill.taxes] == [200]


def test_prices_that_hold_the_tax_keep_their_sum_and_every_line_net_adds_up() -> None:
    bill = make_bill([line(9_999), line(1), line(5_001, "L")], RATES, includes_tax=True)
    assert bill.gross_minor == 15_001
    assert [(row.basis_minor, row.tax_minor) for row in bill.taxes] == [(8_333, 1_667), (4_593, 408)]
    assert sum(row.net_minor for row in bill.lines) == bill.net_minor


def test_two_taxes_under_one_code_are_each_rounded_for_themselves() -> None:
    bill = make_bill([line(1_050, "B")], RATES)
    assert bill.taxes[0].part_taxes_minor == (53, 74)
    assert bill.tax_minor == 127


def test_a_whole_bill_discount_is_spread_by_kind_of_tax_with_the_last_unit_on_the_largest() -> None:
    bill = make_bill([line(10_000), line(10_000, "L"), line(10_001, "E")], RATES, discount_minor=1_000)
    assert {row.rate.code: row.basis_minor for row in bill.taxes} == {"S": 9_667, "L": 9_667, "E": 9_667}
    assert bill.allowances_minor == 1_000
    assert bill.net_by_kind[LineKind.DISCOUNT] == -1_000


def test_zero_exempt_and_outside_lines_stand_as_rows_of_their_own_without_tax() -> None:
    outside = TaxRate("O", "outside the scope", 0, TaxKind.OUTSIDE)
    bill = make_bill([line(500, "E"), line(700, "O")], [EXEMPT, outside])
    assert [(row.rate.kind, row.basis_minor, row.tax_minor) for row in bill.taxes] == [
        (TaxKind.EXEMPT, 500, 0),
        (TaxKind.OUTSIDE, 700, 0),
    ]


def test_a_bill_without_lines_comes_to_nothing() -> None:
    assert make_bill([], RATES).gross_minor == 0


@pytest.mark.parametrize(
    ("discount", "words"), [(-1, "without a minus"), (101, "more than the total")], ids=["negative", "too large"]
)
def test_a_discount_that_cannot_be_is_refused_in_a_sentence(discount: int, words: str) -> None:
    with pytest.raises(RuleBroken, match=words):
        make_bill([line(100)], RATES, discount_minor=discount)


def test_a_line_under_an_unknown_kind_of_tax_is_refused() -> None:
    with pytest.raises(RuleBroken, match="Choose a tax rate"):
        make_bill([line(100, "?")], RATES)


def test_rates_that_contradict_their_kind_or_parts_are_refused() -> None:
    with pytest.raises(RuleBroken, match="any other kind has none"):
        TaxRate("E", "exempt", 5_000, TaxKind.EXEMPT)
    with pytest.raises(RuleBroken, match="above zero"):
        TaxRate("S", "standard", 0)
    with pytest.raises(RuleBroken, match="do not add up"):
        TaxRate("B", "both", 12_000, parts=(TaxPart("one", 5_000),))
    with pytest.raises(RuleBroken, match="from 0 to 100"):
        TaxRate("S", "standard", 100_001)
    with pytest.raises(RuleBroken, match="from 0 to 100"):
        discount_of(100, 1_001)


@pytest.mark.parametrize(
    ("typed", "rate", "words"),
    [("8.875", 8_875, "8.875 %"), ("20 %", 20_000, "20 %"), ("0", 0, "0 %"), ("100", 100_000, "100 %")],
)
def test_a_typed_rate_is_read_and_printed_back(typed: str, rate: int, words: str) -> None:
    assert parse_rate(typed) == rate
    assert rate_words(rate) == words


@pytest.mark.parametrize("typed", ["", "-5", "8.8755", "100.001", "101", "1000", "abc"])
def test_a_rate_that_is_none_is_refused(typed: str) -> None:
    with pytest.raises(RuleBroken):
        parse_rate(typed)


def random_bill(dice: random.Random) -> Bill:
    lines = [
        BillLine(dice.choice(list(LineKind)), "work", dice.randrange(-2_000, 90_000), dice.choice("SLEB"))
        for _ in range(dice.randrange(1, 9))
    ]
    room = sum(row.amount_minor for row in lines)
    discount = dice.randrange(room) if room > 0 and dice.random() < 0.5 else 0
    return make_bill(lines, RATES, includes_tax=dice.random() < 0.5, discount_minor=discount)


def test_a_thousand_random_bills_hold_their_identities() -> None:
    dice = random.Random(1)
    for _ in range(1_000):
        bill = random_bill(dice)
        assert sum(bill.net_by_kind.values()) == bill.net_minor
        assert sum(row.net_minor for row in bill.lines) == bill.net_minor
        assert bill.net_minor + bill.tax_minor == bill.gross_minor
        printed = bill.lines_minor - bill.allowances_minor + bill.charges_minor
        assert printed == (bill.gross_minor if bill.includes_tax else bill.net_minor)
        for row in bill.taxes:
            assert not row.rate.parts or sum(row.part_taxes_minor) == row.tax_minor
            exact = row.basis_minor * row.rate.rate_thousandths
            assert abs(row.tax_minor * 100_000 - exact) <= 100_000


def test_a_discount_of_a_hundred_percent_leaves_a_bill_of_zero() -> None:
    """All of it may be given away: 1000 tenths of a percent of 123.45 are 123.45, and net and tax come to zero."""
    assert discount_of(12_345, 1_000) == 12_345
    assert discount_of(12_345, 0) == 0
    bill = make_bill([line(10_000), line(2_345, "E")], RATES, discount_minor=discount_of(12_345, 1_000))
    assert (bill.net_minor, bill.tax_minor, bill.gross_minor) == (0, 0, 0)
    assert bill.allowances_minor == 12_345


def test_a_discount_is_never_spread_over_a_kind_of_tax_whose_lines_come_to_less_than_zero() -> None:
    """100.00 and 50.00 of labour under two kinds, −30.00 under a third: of 15.00 off, 10.00 and 5.00, nothing there."""
    lines = [line(10_000), line(5_000, "L"), line(-3_000, "E")]
    bill = make_bill(lines, RATES, discount_minor=1_500)
    off = [(row.tax_code, row.amount_minor) for row in bill.lines if row.kind is LineKind.DISCOUNT]
    assert off == [("S", -1_000), ("L", -500)]


def test_a_discount_over_lines_that_come_to_less_than_zero_is_refused() -> None:
    with pytest.raises(RuleBroken, match="more than the total"):
        make_bill([line(-100)], RATES, discount_minor=1)
    with pytest.raises(RuleBroken, match="more than the total"):
        make_bill([line(10_000), line(-3_000, "E")], RATES, discount_minor=7_001)
    assert make_bill([line(10_000), line(-3_000, "E")], RATES, discount_minor=7_000).net_minor == 0


def test_what_is_due_is_the_gross_less_what_was_prepaid_plus_the_rounding() -> None:
    """EN 16931, BR-CO-16: 10.03 less 3.00, rounded up by 0.02 to the next coin, are 7.05."""
    assert due_minor(1_003, 300, 2) == 705
    assert due_minor(1_003) == 1_003
