"""What payers approved: the shop's risk, how older approvals are read, and how far lines may be billed."""

import random

import pytest

from shopbook.trade.agreeing.approvals import add_bills, at_rates, at_risk, keep_within, passed_by, read_approval
from shopbook.trade.billing import BillLine, LineKind, TaxRate, make_bill
from shopbook.trade.billing.payers import PayerShare, share_further

VAT = [TaxRate("S", "VAT", 20_000)]


@pytest.mark.parametrize(
    ("share", "approved", "billed", "risk"),
    [(140_333, 0, 0, 140_333), (140_333, 140_333, 0, 0), (150_083, 140_333, 0, 9_750), (140_333, 0, 140_333, 0)],
)
def test_at_risk_is_the_share_less_what_was_approved_while_it_is_not_invoiced(
    share: int, approved: int, billed: int, risk: int
) -> None:
    assert sum(at_risk({"insurer": share}, {"insurer": approved}, {"insurer": billed}).values()) == risk


def test_what_one_payer_approved_too_much_takes_nothing_off_the_risk_of_another() -> None:
    assert at_risk({"insurer": 1_000, "dealer": 300}, {"insurer": 5_000}, {}) == {"dealer": 300}


@pytest.mark.parametrize(("amount", "pays"), [(131_495, 131_495), (181_495, 131_495), (170_000, 120_000), (40_000, 0)])
def test_an_older_amount_is_the_share_or_stands_for_the_whole_bill(amount: int, pays: int) -> None:
    assert read_approval(amount, 131_495, 50_000) == pays


def line(amount: int, key: int, *, is_beyond: bool = False) -> BillLine:
    return BillLine(LineKind.LABOUR, f"line {key}", amount, "S", key=key, is_beyond=is_beyond)


def total(lines: list[BillLine]) -> int:
    return make_bill(lines, VAT).gross_minor


def test_a_unit_that_does_not_fit_is_cut_and_one_after_it_is_held() -> None:
    units = [[line(60_000, 1), line(40_000, 2), line(-10_000, 3)], [line(5_000, 4)]]
    kept = keep_within(units, lambda lines: total(list(lines)) <= 54_000, lambda lines: total(list(lines)) <= 54_000)
    assert total(kept) == 54_000
    assert [row.key for row in kept] == [1, 2, 3]


def test_what_the_allowance_let_in_stays_where_the_rest_is_cut() -> None:
    units = [[line(60_000, 1), line(2_000, 2, is_beyond=True)]]
    kept = keep_within(units, lambda lines: total(list(lines)) <= 24_000, lambda lines: total(list(lines)) <= 24_000)
    assert [(row.key, row.amount_minor) for row in kept] == [(1, 18_000), (2, 2_000)]


def test_no_line_that_was_cut_is_topped_up_past_its_own_amount() -> None:
    """0.01, 0.02 and 0.02 within 0.05 with 20 %: cut to 0.01, 0.01 and 0.01, the unit left goes to the second line."""
    units = [[line(1, 1), line(2, 2), line(2, 3)]]
    kept = keep_within(units, lambda lines: total(list(lines)) <= 5, lambda _: False)
    assert [row.amount_minor for row in kept] == [1, 2, 1]


def test_random_units_come_as_near_to_the_limit_as_a_minor_unit_lets_them() -> None:
    dice = random.Random(7)
    for _ in range(200):
        units = [[line(dice.randint(1, 90_000), key) for key in range(dice.randint(1, 4))] for _ in range(2)]
        whole = total([row for unit in units for row in unit])
        limit = dice.randint(0, whole)
        kept = keep_within(units, lambda lines, most=limit: total(list(lines)) <= most, lambda _: False)
        assert limit - 2 <= total(kept) <= limit


@pytest.mark.parametrize(
    ("whole", "billed", "gross", "shares"),
    [
        ((50_000, 4_750), (45_000, 0), 9_750, [5_000, 4_750]),
        ((50_000, 39_008 + 4_112), (50_000, 39_008), 4_112, [0, 4_112]),
        ((25_000, 61_616), (82_616, 0), 4_000, [0, 4_000]),
    ],
)
def test_a_further_bill_is_shared_by_what_each_pays_of_all_less_what_it_was_billed(
    whole: tuple[int, int], billed: tuple[int, int], gross: int, shares: list[int]
) -> None:
    """Worked by hand; in the last row the first invoice went to the customer alone, before an insurer was named."""
    rows = [PayerShare("a", whole[0], (("excess", whole[0]),)), PayerShare("b", whole[1], (("the rest", whole[1]),))]
    none = [PayerShare("a", 0, ()), PayerShare("b", 0, ())]
    assert [row.gross_minor for row in share_further(rows, none, billed, gross)] == shares


def test_bills_are_added_without_rounding_anew_and_read_at_the_tax_of_an_approval() -> None:
    both = add_bills([make_bill([line(3, 1)], VAT), make_bill([line(3, 2)], VAT)])
    assert (both.net_minor, both.tax_minor, len(both.lines)) == (6, 2, 2)
    assert at_rates(both, {"S": TaxRate("S", "VAT", 50_000)}).tax_minor == 3
    assert at_rates(both, {}).tax_minor == 2


def test_only_what_passes_the_approval_and_what_was_billed_before_asks_for_a_new_one() -> None:
    assert passed_by(100_800, 96_000, 96_000) == 4_800
    assert passed_by(100_800, 100_800, 96_000) == 0
    assert passed_by(91_200, 96_000, 96_000) == 0
    assert passed_by(96_001, 91_200, 96_000, slack_minor=1) == 0
