"""Quotes: labour by payer, ways that exclude each other, what passes a yes."""

import pytest

from shopbook.trade.billing import BillLine, LineKind, TaxKind, TaxRate
from shopbook.trade.errors import RuleBroken
from shopbook.trade.pricing import (
    Allowance,
    MaterialsRates,
    PricedGroup,
    QuoteRates,
    beyond_agreed,
    bill_from_price,
    price_fee,
    price_from_hours,
    price_labour,
    price_part,
    price_sublet,
    round_to_step,
    sum_quote,
)

TAX = [TaxRate("sales", "sales tax", 8_250), TaxRate("none", "not taxed", 0, TaxKind.OUTSIDE)]
CODES = {kind: "none" if kind in (LineKind.LABOUR, LineKind.SUBLET) else "sales" for kind in LineKind}
RATES = QuoteRates(
    labour_minor={("paint", "any"): 6_000, ("paint", "insurer"): 5_500},
    tax_codes=CODES,
    materials=MaterialsRates(refinish_hour_minor=4_200),
    parts_markup_permille=250,
    sublet_markup_permille=200,
)


def labour(minutes: int, payer: str = "owner") -> BillLine:
    return price_labour("paint door", "paint", minutes, payer, RATES)


def test_an_hour_costs_what_its_kind_of_payer_pays_and_falls_back_to_any() -> None:
    assert (labour(90).amount_minor, labour(90, "insurer").amount_minor) == (9_000, 8_250)
    with pytest.raises(RuleBroken, match="hourly rate for body work"):
        price_labour("pull", "body", 60, "owner", RATES)


def test_parts_and_sublet_work_carry_the_markup_unless_a_price_is_typed() -> None:
    assert price_part("bumper", 20_000, RATES).amount_minor == 25_000
    assert price_part("clip", 99, RATES, quantity_thousandths=3_000).amount_minor == 372
    assert price_part("bumper", 20_000, RATES, price_minor=22_000).amount_minor == 22_000
    assert price_sublet("calibration", 10_000, RATES).amount_minor == 12_000
    assert price_part("colour", 1_000, RATES, kind=LineKind.COLOUR).kind is LineKind.COLOUR
    assert price_part("given", 0, RATES).amount_minor == price_sublet("given", 0, RATES).amount_minor == 0


@pytest.mark.parametrize(("typed", "why"), [(None, "cost and markup"), (0, "typed"), (22_000, "typed")])
def test_a_price_says_whether_it_was_typed_or_made_of_cost_and_markup(typed: int | None, why: str) -> None:
    assert price_part("bumper", 20_000, RATES, price_minor=typed).why == why
    assert price_sublet("glass", 20_000, RATES, typed).why == why


def a_quote() -> list[PricedGroup]:
    return [
        PricedGroup("door", "Left front door", (labour(120), price_part("handle", 4_000, RATES))),
        PricedGroup("bumper_repair", "Repair bumper", (labour(240),), choice="bumper"),
        PricedGroup("bumper_new", "New bumper", (labour(60), price_part("bumper", 20_000, RATES)), choice="bumper"),
        PricedGroup("sill", "Sill", (labour(60),)),
    ]


def test_what_is_taken_is_summed_with_tax_and_what_is_left_beside_it() -> None:
    quote = sum_quote(a_quote(), TAX, ["door", "bumper_new"])
    assert quote.taken.net_minor == 12_000 + 5_000 + 6_000 + 25_000
    assert quote.taken.tax_minor == 2_475
    assert (quote.left_minor, quote.left_keys) == (6_000, ("bumper_repair", "sill"))


def test_without_an_answer_the_first_way_of_each_thing_is_counted() -> None:
    assert sum_quote(a_quote(), TAX).taken_keys == ("door", "bumper_repair", "sill")


def test_two_ways_of_one_thing_cannot_both_be_taken() -> None:
    with pytest.raises(RuleBroken, match="Choose one of them"):
        sum_quote(a_quote(), TAX, ["bumper_repair", "bumper_new"])
    with pytest.raises(RuleBroken, match="no longer on this"):
        sum_quote(a_quote(), TAX, ["roof"])


def test_a_price_set_by_hand_is_spread_over_the_kinds_of_line_so_that_tax_stays_right() -> None:
    group = PricedGroup("door", "Door", (labour(120), price_part("handle", 4_000, RATES)), price_minor=34_000)
    quote = sum_quote([group], TAX)
    assert quote.taken.net_by_kind == {LineKind.LABOUR: 24_000, LineKind.PART: 10_000}
    assert quote.taken.gross_minor == 34_825
    with pytest.raises(RuleBroken, match="Add a line"):
        PricedGroup("x", "Other", (), price_minor=100).bill_lines()


def test_an_estimate_has_an_upper_sum_that_is_not_below_its_price() -> None:
    quote = sum_quote(a_quote(), TAX, ["sill"], up_to_minor=7_500)
    assert (quote.taken.gross_minor, quote.most_minor) == (6_000, 7_500)
    assert sum_quote(a_quote(), TAX, ["sill"]).most_minor == 6_000
    with pytest.raises(RuleBroken, match="upper limit"):
        sum_quote(a_quote(), TAX, ["sill"], up_to_minor=5_999)


@pytest.mark.parametrize(
    ("allowance", "asked", "expected"),
    [
        (None, 100_000, (0, 100_000, 0)),
        (None, 100_001, (1, 100_000, 1)),
        (Allowance(permille=100), 112_000, (12_000, 110_000, 2_000)),
        (Allowance(permille=100, amount_minor=5_000), 112_000, (12_000, 105_000, 7_000)),
        (Allowance(amount_minor=20_000), 112_000, (12_000, 112_000, 0)),
        (None, 90_000, (0, 90_000, 0)),
    ],
)
def test_what_passes_the_agreed_sum_beyond_the_allowance_is_held(
    allowance: Allowance | None, asked: int, expected: tuple[int, int, int]
) -> None:
    beyond = beyond_agreed(100_000, asked, allowance)
    assert (beyond.over_minor, beyond.billable_minor, beyond.held_minor) == expected


def test_a_first_list_follows_the_door_rate_in_sensible_steps() -> None:
    assert price_from_hours(92, 6_789, 500) == 62_500
    assert price_from_hours(1, 100, 500) == 500
    assert round_to_step(1_250, 500) == 1_500
    with pytest.raises(RuleBroken, match="above zero"):
        price_from_hours(10, 0)


def test_a_kerb_price_is_said_with_and_without_tax_where_only_materials_are_taxed() -> None:
    bill = bill_from_price(80_000, {LineKind.LABOUR: 700, LineKind.MATERIALS: 300}, CODES, TAX)
    assert (bill.net_minor, bill.gross_minor) == (80_000, 81_980)
    held = bill_from_price(80_000, {LineKind.LABOUR: 700, LineKind.MATERIALS: 300}, CODES, TAX, includes_tax=True)
    assert held.gross_minor == 80_000
    with pytest.raises(RuleBroken, match="what the price is for"):
        bill_from_price(80_000, {}, CODES, TAX)


def test_amounts_below_zero_are_refused_in_a_sentence() -> None:
    with pytest.raises(RuleBroken, match="give a discount"):
        price_fee("storage", -1, RATES)
    with pytest.raises(RuleBroken, match="zero or more"):
        price_sublet("glass", -1, RATES)
    with pytest.raises(RuleBroken, match="quantity above zero"):
        price_part("clip", 5, RATES, quantity_thousandths=0)
    with pytest.raises(RuleBroken, match="zero or more"):
        labour(-1)
    with pytest.raises(RuleBroken, match="allowance"):
        beyond_agreed(100, 200, Allowance(amount_minor=-1))
