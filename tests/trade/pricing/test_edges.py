"""Prices at their edges: whose hour is its own, the least quantity, a discount on a part of a quote."""

import json

import pytest

from shopbook.trade.billing import BillLine, LineKind, TaxKind, TaxRate
from shopbook.trade.pricing import PaintedItem, PricedGroup, SavingTerms, further_savings, price_part
from shopbook.trade.pricing.given import Given
from shopbook.trade.pricing.lines import has_own_hour, hour_of
from shopbook.trade.pricing.priced import PricedQuote
from tests.trade.pricing.test_lines import RATES

FREE = TaxRate("free", "not taxed", 0, TaxKind.EXEMPT)


@pytest.mark.parametrize(
    ("payer", "minor", "is_own"),
    [("insurer", 5_500, True), ("insurer", 6_000, False), ("private", 5_500, False), ("dealer", 5_500, True)],
)
def test_an_hour_is_a_payers_own_where_it_differs_from_anybodys_and_never_a_private_persons(
    payer: str, minor: int, is_own: bool
) -> None:
    assert has_own_hour({("paint", "any"): 6_000, ("paint", payer): minor}, payer) is is_own


def test_an_hour_that_nobody_set_is_zero() -> None:
    assert hour_of({}, "body", "private") == 0


def test_the_least_quantity_of_a_part_is_a_thousandth() -> None:
    assert price_part("wire", 8_000, RATES, quantity_thousandths=1).amount_minor == 10


def test_a_panel_apart_may_save_nothing() -> None:
    door, roof = PaintedItem("door", 300, place=2), PaintedItem("roof", 270, place=9)
    assert further_savings([door, roof], SavingTerms(7800, apart_permille=0)) == []
    assert len(further_savings([door, roof], SavingTerms(7800))) == 1


def test_a_discount_of_30_holds_whole_for_the_whole_quote_and_by_halves_for_half_of_it() -> None:
    groups = tuple(
        PricedGroup(key, key, (BillLine(LineKind.LABOUR, "work", 10_000, "free"),)) for key in ("door", "sill")
    )
    quote = PricedQuote(groups, (FREE,), discount_minor=3_000, up_to_minor=20_000)
    for taken, gross, most in ((None, 17_000, 20_000), (["door", "sill"], 17_000, 20_000), (["door"], 8_500, 10_000)):
        told = quote.sum(taken)
        assert (told.taken.gross_minor, told.most_minor) == (gross, most)


def test_what_is_given_today_is_written_in_the_first_form() -> None:
    """A kept paper is read by its form for as long as the book lives: another content takes another number."""
    quote = PricedQuote((PricedGroup("door", "Door", (BillLine(LineKind.LABOUR, "work", 1, "free"),)),), (FREE,))
    assert json.loads(Given(quote).to_json())["form"] == 1
