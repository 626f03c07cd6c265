"""What a further panel saves: by hours, by touch, whatever the order of taps."""

from itertools import permutations

import pytest

from shopbook.trade.billing import BillLine, LineKind, TaxKind, TaxRate
from shopbook.trade.errors import RuleBroken
from shopbook.trade.pricing import PaintedItem, PricedGroup, SavingTerms, further_savings, sum_quote

TERMS = SavingTerms(7800)
VAT, FREE = TaxRate("vat", "VAT", 20_000), TaxRate("free", "not taxed", 0, TaxKind.EXEMPT)
DOOR = PaintedItem("door", 300, frozenset({"quarter"}), place=2)
QUARTER = PaintedItem("quarter", 270, place=3)


def group(item: PaintedItem, price: int, first_key: int, labour: int = 7, materials: int = 3) -> PricedGroup:
    lines = (
        BillLine(LineKind.LABOUR, "Paint work", labour, "vat", minutes=item.minutes),
        BillLine(LineKind.MATERIALS, "Materials", materials, "free"),
    )
    return PricedGroup(item.panel, item.panel.capitalize(), lines, "", price, item, first_key, item.panel)


def saved(items: list[PaintedItem]) -> dict[str, int]:
    return {items[row.at].panel: row.amount_minor for row in further_savings(items, TERMS)}


def test_a_quarter_beside_a_door_saves_forty_percent_of_its_own_paint_hours() -> None:
    """4.5 h at 78.00 are 351.00, of which 40 percent."""
    assert saved([DOOR, QUARTER]) == saved([QUARTER, DOOR]) == {"quarter": 14040}


def test_three_panels_save_the_same_in_all_six_orders() -> None:
    """6.0, 5.0 and 4.5 h, first and second, second and third touching: 156.00 and 140.40."""
    first = PaintedItem("first", 360, frozenset({"second"}), place=1)
    second = PaintedItem("second", 300, frozenset({"third"}), place=2)
    third = PaintedItem("third", 270, place=3)
    for order in permutations([first, second, third]):
        assert saved(list(order)) == {"second": 15600, "third": 14040}


def test_a_panel_elsewhere_on_the_car_saves_twenty_percent() -> None:
    assert saved([DOOR, PaintedItem("bonnet", 240, place=1)]) == {"bonnet": 6240}


def test_of_equal_hours_the_first_in_the_panel_list_saves_nothing() -> None:
    twin = PaintedItem("twin", 300, place=1)
    assert saved([DOOR, twin]) == saved([twin, DOOR]) == {"door": 7800}


def test_a_typed_price_takes_no_saving_but_counts_as_taken() -> None:
    typed = PaintedItem("door", 300, frozenset({"quarter"}), may_save=False, place=2)
    assert saved([typed, QUARTER]) == {"quarter": 14040}
    assert saved([DOOR, PaintedItem("quarter", 270, may_save=False)]) == {}


def test_one_panel_alone_and_a_quote_from_before_save_nothing() -> None:
    assert further_savings([DOOR], TERMS) == []
    assert further_savings([DOOR, QUARTER], SavingTerms()) == []


@pytest.mark.parametrize("terms", [SavingTerms(7800, 1001), SavingTerms(7800, 400, -1)])
def test_a_share_outside_zero_to_all_is_refused(terms: SavingTerms) -> None:
    with pytest.raises(RuleBroken, match="from 0 to 100 percent"):
        further_savings([DOOR, QUARTER], terms)


def test_the_saving_is_a_line_of_its_own_and_goes_with_what_is_declined() -> None:
    """Door 969.00, quarter 931.00: together 1,759.60; either alone its own price."""
    for groups in (
        [group(DOOR, 96900, 1), group(QUARTER, 93100, 3)],
        [group(QUARTER, 93100, 3), group(DOOR, 96900, 1)],
    ):
        both = sum_quote(groups, [VAT, FREE], savings=TERMS).taken
        assert (both.lines_minor, both.net_minor) == (175960, 175960)
        savings = [line for line in both.lines if line.kind is LineKind.SAVING]
        assert sum(line.amount_minor for line in savings) == -14040
        assert {line.key for line in savings} == {4}
        for alone, price in (("door", 96900), ("quarter", 93100)):
            assert sum_quote(groups, [VAT, FREE], {alone}, savings=TERMS).taken.net_minor == price


def test_the_saving_is_spread_over_the_kinds_of_tax_of_both_items() -> None:
    """Door 700.00 and 300.00 free, quarter 500.00 and 500.00 free: 140.40 falls 12 to 8."""
    groups = [group(DOOR, 100000, 1), group(QUARTER, 100000, 3, labour=1, materials=1)]
    savings = [
        line for line in sum_quote(groups, [VAT, FREE], savings=TERMS).taken.lines if line.kind is LineKind.SAVING
    ]
    assert {line.tax_code: line.amount_minor for line in savings} == {"vat": -8424, "free": -5616}
