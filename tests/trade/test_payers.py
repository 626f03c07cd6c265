"""Who pays what: every rule sums to the gross, and figures that ask for too much are refused in a sentence."""

import random

import pytest

from shopbook.trade.billing import Bill, BillLine, LineKind, TaxRate, make_bill
from shopbook.trade.errors import RuleBroken
from shopbook.trade.payers import PayerShare, PayRule, PayTerms, who_pays

RATES = [TaxRate("S", "VAT", 20_000), TaxRate("L", "sales tax", 8_875)]
TWO = ("owner", "insurer")


def a_bill(*amounts: int, discount: int = 0) -> Bill:
    lines = [BillLine(LineKind.LABOUR, "work", amount, "S") for amount in amounts]
    return make_bill(lines, RATES, discount_minor=discount)


def sums(rows: tuple[PayerShare, ...]) -> list[int]:
    return [row.gross_minor for row in rows]


def test_without_a_claim_the_owner_pays_all_of_it() -> None:
    assert sums(who_pays(a_bill(100_000), PayTerms(PayRule.ALL, ("owner",)))) == [120_000]


def test_the_excess_comes_off_the_sum_with_tax() -> None:
    rows = who_pays(a_bill(100_000), PayTerms(PayRule.EXCESS, TWO, excess_minor=25_000))
    assert sums(rows) == [25_000, 95_000]
    assert rows[0].parts == (("excess", 25_000),)


def test_an_owner_registered_for_the_tax_pays_the_excess_and_all_the_tax() -> None:
    rows = who_pays(a_bill(100_000), PayTerms(PayRule.EXCESS_AND_TAX, TWO, excess_minor=25_000))
    assert sums(rows) == [45_000, 75_000]
    assert rows[0].parts == (("excess", 25_000), ("tax", 20_000))


def test_fixed_sums_leave_the_rest_to_the_owner() -> None:
    terms = PayTerms(PayRule.FIXED, ("owner", "insurer", "dealer"), fixed_minor=(60_000, 10_000))
    assert sums(who_pays(a_bill(100_000), terms)) == [50_000, 60_000, 10_000]


def test_by_line_each_payer_has_its_lines_with_their_tax_and_share_of_the_discount() -> None:
    rows = who_pays(a_bill(30_000, 10_000, discount=4_000), PayTerms(PayRule.BY_LINE, TWO, line_payers=(1, 0)))
    assert sums(rows) == [10_800, 32_400]


@pytest.mark.parametrize(
    ("terms", "words"),
    [
        (PayTerms(PayRule.EXCESS, TWO, excess_minor=120_001), "more than the bill"),
        (PayTerms(PayRule.EXCESS_AND_TAX, TWO, excess_minor=100_001), "more than the bill without tax"),
        (PayTerms(PayRule.EXCESS, TWO, excess_minor=-1), "not below nought"),
        (PayTerms(PayRule.FIXED, TWO, fixed_minor=(120_001,)), "more than the bill"),
        (PayTerms(PayRule.FIXED, TWO), "a sum"),
        (PayTerms(PayRule.BY_LINE, TWO), "for each line"),
        (PayTerms(PayRule.BY_LINE, TWO, line_payers=(2,)), "does not have"),
        (PayTerms(PayRule.EXCESS, ("owner",)), "each payer once"),
        (PayTerms(PayRule.FIXED, ("owner", "owner"), fixed_minor=(1,)), "each payer once"),
    ],
)
def test_shares_that_cannot_be_are_refused_in_a_sentence(terms: PayTerms, words: str) -> None:
    with pytest.raises(RuleBroken, match=words):
        who_pays(a_bill(100_000), terms)


def test_a_bill_below_nought_is_not_split() -> None:
    with pytest.raises(RuleBroken, match="credit note"):
        who_pays(a_bill(-100), PayTerms(PayRule.ALL, ("owner",)))


def test_a_thousand_random_splits_sum_to_the_gross() -> None:
    dice = random.Random(3)
    for _ in range(1_000):
        lines = [
            BillLine(LineKind.PART, "part", dice.randrange(1, 90_000), dice.choice("SL"))
            for _ in range(dice.randrange(1, 7))
        ]
        bill = make_bill(lines, RATES, includes_tax=dice.random() < 0.5, discount_minor=dice.randrange(2))
        terms = dice.choice(
            [
                PayTerms(PayRule.EXCESS, TWO, excess_minor=dice.randrange(bill.gross_minor + 1)),
                PayTerms(PayRule.EXCESS_AND_TAX, TWO, excess_minor=dice.randrange(bill.net_minor + 1)),
                PayTerms(PayRule.FIXED, TWO, fixed_minor=(dice.randrange(bill.gross_minor + 1),)),
                PayTerms(PayRule.BY_LINE, TWO, line_payers=tuple(dice.randrange(2) for _ in lines)),
            ]
        )
        rows = who_pays(bill, terms)
        assert sum(sums(rows)) == bill.gross_minor
        assert all(row.gross_minor == sum(minor for _, minor in row.parts) >= 0 for row in rows)
