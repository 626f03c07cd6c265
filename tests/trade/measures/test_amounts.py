"""Amounts as people type them, as papers write them, and shared out to the last unit."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.amounts import (
    LARGEST_MINOR,
    divide_half_away,
    format_minor,
    minor_for_field,
    parse_minor,
    share_out,
)


@pytest.mark.parametrize(
    ("typed", "places", "minor"),
    [
        ("12", 2, 1200),
        ("12.5", 2, 1250),
        ("12.50", 2, 1250),
        ("+12.05", 2, 1205),
        ("-12.05", 2, -1205),
        ("-0.05", 2, -5),
        ("1,250.50", 2, 125_050),
        ("1,250", 2, 125_000),
        ("12,345,678.9", 2, 1_234_567_890),
        ("1 250.50", 2, 125_050),
        ("1\u00a0250.50", 2, 125_050),
        ("1\u202f250.50", 2, 125_050),
        ("1'250.50", 2, 125_050),
        ("12,50", 2, 1250),
        ("12,5", 2, 1250),
        ("-12,5", 2, -1250),
        ("1,250", 0, 1250),
        ("1250", 0, 1250),
        ("1.234", 3, 1234),
        ("0", 2, 0),
    ],
)
def test_an_amount_is_read_as_people_type_it(typed: str, places: int, minor: int) -> None:
    assert parse_minor(typed, places) == minor


@pytest.mark.parametrize("typed", ["", "-", "twelve", "12.5.0", "1,25,000", "12,3456", "1e3", "£12", "١٢", "0x12", "."])
def test_what_is_no_amount_is_told_how_to_type_one(typed: str) -> None:
    with pytest.raises(RuleBroken, match=r"for example 120 or 120\.50") as broken:
        parse_minor(typed, field="price")
    assert broken.value.field == "price"


@pytest.mark.parametrize(("typed", "places"), [("12.505", 2), ("12.1", 0), ("12,5", 0)])
def test_more_figures_than_the_currency_has_are_refused(typed: str, places: int) -> None:
    with pytest.raises(RuleBroken):
        parse_minor(typed, places)


@pytest.mark.parametrize("sign", ["", "-"])
def test_an_amount_that_cannot_be_meant_is_refused_and_the_largest_is_not(sign: str) -> None:
    largest = f"{sign}{LARGEST_MINOR // 100}"
    assert abs(parse_minor(largest)) == LARGEST_MINOR
    with pytest.raises(RuleBroken, match="too large"):
        parse_minor(f"{largest}.01")


@pytest.mark.parametrize(
    ("minor", "places", "symbol", "words"),
    [
        (123_456, 2, "", "1,234.56"),
        (5, 2, "$", "$0.05"),
        (-123_456, 2, "$", "\u2212$1,234.56"),
        (1234, 0, "", "1,234"),
        (1234, 3, "", "1.234"),
        (0, 2, "", "0.00"),
    ],
)
def test_an_amount_is_written_with_grouped_thousands_and_its_sign_before_the_symbol(
    minor: int, places: int, symbol: str, words: str
) -> None:
    assert format_minor(minor, places, symbol) == words


@given(st.integers(-LARGEST_MINOR, LARGEST_MINOR), st.sampled_from([0, 2, 3]))
def test_what_is_written_reads_back_as_the_same_amount(minor: int, places: int) -> None:
    assert parse_minor(format_minor(minor, places).replace("\u2212", "-"), places) == minor


@given(st.integers(-(10**9), 10**9), st.lists(st.integers(0, 10**6), min_size=1, max_size=8))
def test_shares_add_up_and_each_but_the_largest_is_its_rounded_part(total: int, weights: list[int]) -> None:
    parts, whole = share_out(total, weights), sum(weights)
    assert sum(parts) == total
    assert len(parts) == len(weights)
    largest = weights.index(max(weights))
    others = [place for place in range(len(weights)) if place != largest]
    if whole:
        assert all(parts[place] == divide_half_away(total * weights[place], whole) for place in others)
    else:
        assert all(parts[place] == 0 for place in others)


def test_what_rounding_leaves_goes_to_the_first_of_the_largest() -> None:
    assert share_out(100, [1, 1, 1]) == [34, 33, 33]
    assert share_out(100, [1, 2, 2, 1]) == [17, 33, 33, 17]
    assert share_out(101, [1, 2, 2, 1]) == [17, 33, 34, 17]
    assert share_out(7, [0, 0]) == [7, 0]
    assert share_out(7, []) == []


def test_a_quotient_has_the_sign_of_both_and_zero_none() -> None:
    assert [divide_half_away(*pair) for pair in ((5, 2), (-5, 2), (5, -2), (-5, -2), (0, -7))] == [3, -3, -3, 3, 0]
    with pytest.raises(ZeroDivisionError):
        divide_half_away(1, 0)


def test_an_amount_in_a_field_has_the_two_decimals_of_most_money_unless_the_book_says_otherwise() -> None:
    assert minor_for_field(125_000) == "1250.00"
    assert minor_for_field(125_000, 3) == "125.000"
    assert minor_for_field(125_000, 0) == "125000"
