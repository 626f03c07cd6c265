"""What may be billed beyond an agreed sum: hours are cut to what fits, a part is whole or held, all of it named."""

import random
from dataclasses import replace

import pytest

from shopbook.trade.billing import BillLine, LineKind, TaxKind, TaxRate
from shopbook.trade.billing.billable import bill_within, with_tax_inside
from shopbook.trade.pricing import Allowance

RATES = [TaxRate("S", "VAT", 20_000), TaxRate("N", "not taxed", 0, TaxKind.EXEMPT)]


def piece(words: str, amount: int, code: str = "N", kind: LineKind = LineKind.LABOUR, **given: bool) -> BillLine:
    return BillLine(kind, words, amount, code, group_key="door", title="Left front door", **given)


AGREED = piece("labour", 50_000)
HOURS = piece("more labour", 10_000, is_beyond=True, can_be_cut=True)
LAMP = piece("lamp", 8_000, "S", LineKind.PART, is_beyond=True)


def test_what_was_agreed_is_billed_and_what_passes_it_waits_by_name() -> None:
    found = bill_within([AGREED, HOURS, LAMP], 50_000, RATES)
    assert found.bill.lines == (replace(AGREED, net_minor=50_000),)
    assert found.held == (("more labour", 10_000), ("lamp", 8_000))
    assert (found.beyond.over_minor, found.beyond.held_minor) == (19_600, 19_600)


def test_hours_are_cut_to_what_the_allowance_lets_in_and_a_part_is_not() -> None:
    found = bill_within([AGREED, HOURS, LAMP], 50_000, RATES, allowance=Allowance(amount_minor=4_000))
    assert [each.amount_minor for each in found.bill.lines] == [50_000, 4_000]
    assert found.held == (("more labour", 6_000), ("lamp", 8_000))
    assert found.bill.gross_minor == 54_000


@pytest.mark.parametrize(("room", "held"), [(9_600, ()), (9_599, (("lamp", 8_000),))])
def test_a_part_is_let_in_only_with_all_of_its_tax(room: int, held: tuple[tuple[str, int], ...]) -> None:
    assert bill_within([AGREED, LAMP], 50_000, RATES, allowance=Allowance(amount_minor=room)).held == held


def test_the_lines_keep_their_places_whatever_was_let_in_when() -> None:
    found = bill_within([LAMP, AGREED, HOURS], 50_000, RATES, allowance=Allowance(permille=1_000))
    assert [each.words for each in found.bill.lines] == ["lamp", "labour", "more labour"]
    assert [row.words for row in found.bill.lines] == ["lamp", "labour", "more labour"]


def test_what_was_invoiced_before_counts_against_the_limit() -> None:
    found = bill_within([HOURS], 50_000, RATES, already_minor=45_000)
    assert [each.amount_minor for each in found.bill.lines] == [5_000]
    assert found.held == (("more labour", 5_000),)
    assert (found.beyond.over_minor, found.beyond.billable_minor) == (5_000, 50_000)


def test_what_is_not_beyond_is_billed_even_over_the_limit() -> None:
    assert bill_within([AGREED], 40_000, RATES).bill.gross_minor == 50_000


def test_five_hundred_random_bills_hold_back_the_least_that_keeps_the_limit() -> None:
    dice = random.Random(4)
    for _ in range(500):
        agreed = piece("labour", dice.randint(1, 50_000), dice.choice("SN"))
        hours = piece("more", dice.randint(1, 50_000), dice.choice("SN"), is_beyond=True, can_be_cut=True)
        limit = bill_within([agreed], 0, RATES).bill.gross_minor + dice.randint(0, 60_000)
        found = bill_within([agreed, hours], limit, RATES)
        billed = sum(each.amount_minor for each in found.bill.lines)
        held = sum(amount for _, amount in found.held)
        assert billed + held == agreed.amount_minor + hours.amount_minor
        assert found.bill.gross_minor <= limit
        if held:
            # A unit more, with its tax, would pass the limit.
            assert found.bill.gross_minor + 2 > limit


def test_a_line_without_tax_becomes_one_that_holds_it_rounded_for_itself() -> None:
    lines = [BillLine(LineKind.PART, "clip", 333, "S"), BillLine(LineKind.LABOUR, "work", 1_000, "N")]
    assert [line.amount_minor for line in with_tax_inside(lines, RATES)] == [400, 1_000]
    assert [line.amount_minor for line in with_tax_inside([BillLine(LineKind.FEE, "x", -5, "S")], RATES)] == [-6]
    assert [line.amount_minor for line in with_tax_inside([BillLine(LineKind.FEE, "x", 7, "?")], RATES)] == [7]
