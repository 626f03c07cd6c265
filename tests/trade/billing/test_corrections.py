"""A corrected invoice: the right price at the rates of the first one, deposits off as before, nothing else moved."""

import random

import pytest

from shopbook.trade.billing import Bill, BillLine, LineKind, TaxRate, TaxTotal, make_bill
from shopbook.trade.billing.corrections import (
    amounts_shown,
    before_deposits,
    correct_bill,
    keep_paid,
    share_difference,
)
from shopbook.trade.billing.deposits import deduct_deposits
from shopbook.trade.errors import RuleBroken

SALES, NONE = TaxRate("sales", "Sales tax", 8_000), TaxRate("none", "Not taxed", 0, kind="outside")  # type: ignore[arg-type]
VAT = TaxRate("vat", "VAT", 20_000)


def door_and_paint() -> Bill:
    lines = [
        BillLine(LineKind.LABOUR, "Left front door", 20_900, "none"),
        BillLine(LineKind.MATERIALS, "Paint and materials", 6_140, "sales"),
    ]
    return make_bill(lines, [SALES, NONE])


def repair(net: int = 80_000) -> Bill:
    return make_bill([BillLine(LineKind.LABOUR, "Repair", net, "vat")], [VAT])


def deposit(gross: int) -> Bill:
    return make_bill([BillLine(LineKind.DEPOSIT, "Deposit", gross, "vat")], [VAT], includes_tax=True)


def test_one_price_is_corrected_and_the_tax_of_the_other_kind_stays() -> None:
    bill = door_and_paint()
    assert bill.gross_minor == 27_531
    corrected = correct_bill(bill, {0: 18_900})
    assert (corrected.gross_minor, corrected.tax_minor) == (25_531, 491)
    assert keep_paid(corrected.gross_minor, [27_531]) == [25_531], "20.00 of 275.31 is over"


@pytest.mark.parametrize(("right", "new", "over"), [(76_000, 67_200, 4_800), (84_000, 76_800, -4_800)])
def test_deposits_come_off_the_corrected_invoice_as_they_came_off_the_first(right: int, new: int, over: int) -> None:
    """UK: 800.00 + 160.00 less a deposit of 200.00 + 40.00 is 720.00; at 760.00 it is 672.00, at 840.00 768.00."""
    first = deduct_deposits(repair(), [deposit(24_000)])
    assert first.gross_minor == 72_000
    lines = [*first.bill.lines, BillLine(LineKind.DEPOSIT, "Deposit", -20_000, "vat", net_minor=-20_000)]
    bill = before_deposits(lines, first.rest, deposit(24_000).taxes)
    assert (bill.net_minor, bill.tax_minor) == (80_000, 16_000)
    corrected = deduct_deposits(correct_bill(bill, {0: right}), [deposit(24_000)])
    assert corrected.gross_minor == new
    assert first.gross_minor - corrected.gross_minor == over


def test_what_a_credit_note_took_off_an_invoice_with_a_deposit_comes_off_its_work() -> None:
    lines = [
        BillLine(LineKind.LABOUR, "Repair", 72_000, "vat", net_minor=72_000),
        BillLine(LineKind.DEPOSIT, "Deposit", -18_000, "vat", net_minor=-18_000),
    ]
    bill = before_deposits(lines, [TaxTotal(VAT, 54_000, 10_800)], deposit(24_000).taxes)
    assert [line.net_minor for line in bill.lines] == [74_000]
    assert bill.gross_minor == 88_800


def test_nothing_typed_is_the_same_invoice_to_the_last_unit_and_so_is_every_price_typed_as_it_is_shown() -> None:
    """Whether prices were with tax or without it, and however tax was rounded."""
    dice = random.Random(7)
    for _ in range(300):
        lines = [
            BillLine(LineKind.LABOUR, f"line {n}", dice.randint(1, 9_999), dice.choice(("vat", "sales")), key=n)
            for n in range(dice.randint(1, 5))
        ]
        bill = make_bill(lines, [VAT, SALES], includes_tax=dice.random() < 0.5)
        bill = Bill(tuple(before_deposits(bill.lines, bill.taxes, ()).lines), bill.taxes)
        includes_tax = dice.random() < 0.5
        shown = amounts_shown(bill, includes_tax=includes_tax)
        if includes_tax:
            assert sum(shown) == bill.gross_minor
        again = correct_bill(bill, dict(enumerate(shown)), includes_tax=includes_tax)
        assert (again.net_minor, again.tax_minor) == (bill.net_minor, bill.tax_minor)
        assert [line.net_minor for line in again.lines] == [line.net_minor for line in bill.lines]


def test_a_price_with_tax_in_it_is_corrected_as_it_is_said() -> None:
    bill = make_bill([BillLine(LineKind.LABOUR, "Bumper", 10_000, "vat")], [VAT], includes_tax=True)
    corrected = correct_bill(bill, {0: 9_000}, includes_tax=True)
    assert (corrected.net_minor, corrected.tax_minor) == (7_500, 1_500)


def test_a_line_at_zero_stays_in_its_place_and_an_invoice_of_nothing_is_refused() -> None:
    assert [line.net_minor for line in correct_bill(door_and_paint(), {1: 0}).lines] == [20_900, 0]
    with pytest.raises(RuleBroken, match="nothing is left to pay"):
        correct_bill(door_and_paint(), {0: 0, 1: 0})
    with pytest.raises(RuleBroken, match="Enter an amount"):
        correct_bill(door_and_paint(), {0: -100})


def test_a_discount_is_typed_with_a_minus_and_never_turns_into_a_charge() -> None:
    lines = [BillLine(LineKind.LABOUR, "Repair", 80_000, "vat")]
    bill = make_bill(lines, [VAT], discount_minor=5_000)
    assert correct_bill(bill, {1: -8_000}).net_minor == 72_000
    with pytest.raises(RuleBroken, match="with a minus"):
        correct_bill(bill, {1: 5_000})


def test_an_excess_stays_and_the_difference_falls_to_whoever_pays_the_rest_and_the_tax() -> None:
    excess = [("excess", 50_000), ("the rest", 131_495)]
    assert share_difference(excess, -1_240, -92) == [50_000, 130_255]
    assert share_difference(excess, 9_750, 0) == [50_000, 141_245]
    registered = [("excess, tax", 55_000), ("the rest", 125_000)]
    assert share_difference(registered, 1_200, 200) == [55_200, 126_000]
    assert share_difference(registered, -1_200, -200) == [54_800, 124_000]
    assert share_difference([("all of it", 27_531)], -2_000, 0) == [25_531]
    assert share_difference(excess, 0, 0) == [50_000, 131_495]


def test_the_oldest_money_pays_first_and_what_is_over_is_of_the_newest() -> None:
    assert keep_paid(25_531, [20_000, 7_531]) == [20_000, 5_531]
    assert keep_paid(5_000, [20_000, 7_531]) == [5_000, 0]
    assert keep_paid(30_000, [20_000, 7_531]) == [20_000, 7_531]
