"""Who pays what: every rule sums to the gross, and figures that ask for too much are refused in a sentence."""

import random

import pytest

from shopbook.trade.billing import Bill, BillLine, LineKind, TaxKind, TaxRate, make_bill
from shopbook.trade.billing.payers import PayerShare, PayRule, PayTerm, share_credit, share_further, who_pays
from shopbook.trade.errors import RuleBroken

RATES = [TaxRate("S", "VAT", 20_000), TaxRate("L", "sales tax", 8_875)]
REST = PayTerm("insurer", PayRule.REST)


def a_bill(*amounts: int, discount: int = 0) -> Bill:
    lines = [BillLine(LineKind.LABOUR, "work", amount, "S") for amount in amounts]
    return make_bill(lines, RATES, discount_minor=discount)


def owner(rule: PayRule, amount: int = 0, *places: int) -> PayTerm:
    return PayTerm("owner", rule, amount, frozenset(places))


def sums(rows: tuple[PayerShare, ...]) -> list[int]:
    return [row.gross_minor for row in rows]


def test_without_a_claim_the_owner_pays_all_of_it() -> None:
    assert who_pays(a_bill(100_000), [owner(PayRule.REST)])[0].parts == (("all of it", 120_000),)


def test_the_excess_comes_off_the_sum_with_tax() -> None:
    rows = who_pays(a_bill(100_000), [owner(PayRule.EXCESS, 25_000), REST])
    assert sums(rows) == [25_000, 95_000]
    assert rows[0].parts == (("excess", 25_000),)


def test_an_owner_registered_for_the_tax_pays_the_excess_and_all_the_tax() -> None:
    rows = who_pays(a_bill(100_000), [owner(PayRule.EXCESS_AND_TAX, 25_000), REST])
    assert sums(rows) == [45_000, 75_000]
    assert rows[0].parts == (("excess", 25_000), ("tax", 20_000))


@pytest.mark.parametrize(
    ("rule", "excess", "shares"),
    [
        (PayRule.EXCESS, 120_000, [120_000, 0]),
        (PayRule.EXCESS, 120_001, [120_000, 0]),
        (PayRule.EXCESS_AND_TAX, 100_000, [120_000, 0]),
        (PayRule.EXCESS_AND_TAX, 250_000, [120_000, 0]),
    ],
)
def test_an_excess_as_large_as_the_bill_or_larger_leaves_the_insurer_nothing(
    rule: PayRule, excess: int, shares: list[int]
) -> None:
    assert sums(who_pays(a_bill(100_000), [owner(rule, excess), REST])) == shares


US = [TaxRate("none", "no tax", 0, TaxKind.ZERO), TaxRate("P", "sales tax", 8_000)]
UK = [TaxRate("S", "VAT", 20_000)]


def us_bill(*, extra: int = 0) -> Bill:
    """Labor 1,000.00 and parts 754.58 + 60.37 = 1,814.95; an extra is labor."""
    lines = [BillLine(LineKind.LABOUR, "labor", 100_000, "none"), BillLine(LineKind.PART, "parts", 75_458, "P")]
    more = [BillLine(LineKind.LABOUR, "extra", extra, "none")] if extra else []
    return make_bill([*lines, *more], US)


def uk_bill(net: int) -> Bill:
    return make_bill([BillLine(LineKind.LABOUR, "work", net, "S")], UK)


@pytest.mark.parametrize(
    ("bill", "customer", "shares"),
    [
        (us_bill(), owner(PayRule.EXCESS, 50_000), [50_000, 131_495]),
        (us_bill(extra=9_750), owner(PayRule.EXCESS, 50_000), [50_000, 141_245]),
        (us_bill(extra=9_750), owner(PayRule.EXCESS, 50_000, 2), [59_750, 131_495]),
        (
            make_bill([BillLine(LineKind.LABOUR, "labor", 45_000, "none")], US),
            owner(PayRule.EXCESS, 50_000),
            [45_000, 0],
        ),
        (
            us_bill(),
            PayTerm("owner", PayRule.EXCESS, 50_000, betterment_minor=6_000, betterment_code="P"),
            [56_480, 125_015],
        ),
        (uk_bill(150_000), owner(PayRule.EXCESS, 25_000), [25_000, 155_000]),
        (uk_bill(150_000), owner(PayRule.EXCESS_AND_TAX, 25_000), [55_000, 125_000]),
        (
            uk_bill(150_000),
            PayTerm("owner", PayRule.EXCESS_AND_TAX, 25_000, betterment_minor=6_000, betterment_code="S"),
            [61_000, 119_000],
        ),
        (uk_bill(20_000), owner(PayRule.EXCESS_AND_TAX, 25_000), [24_000, 0]),
    ],
)
def test_the_share_is_the_excess_within_the_claim_and_betterment_own_lines_and_tax(
    bill: Bill, customer: PayTerm, shares: list[int]
) -> None:
    """Worked by hand; HMRC VIT13500 and VATSC06540 for the registered customer, the rest common practice."""
    assert sums(who_pays(bill, [customer, REST])) == shares


def test_beside_a_registered_customer_another_payers_own_lines_count_without_tax() -> None:
    """1,000.00 + 200.00 VAT, the dealer bears a line of 300.00: customer 250.00 + 200.00, insurer 450.00."""
    dealer = PayTerm("dealer", PayRule.LINES, 0, frozenset({0}))
    rows = who_pays(a_bill(30_000, 70_000), [owner(PayRule.EXCESS_AND_TAX, 25_000), dealer, REST])
    assert sums(rows) == [45_000, 30_000, 45_000]


def test_a_bill_of_zero_is_split_into_zeros() -> None:
    assert sums(who_pays(a_bill(0), [owner(PayRule.EXCESS, 0), REST])) == [0, 0]


def test_fixed_sums_leave_the_rest_to_one_payer() -> None:
    dealer = PayTerm("dealer", PayRule.FIXED, 10_000)
    assert sums(who_pays(a_bill(100_000), [owner(PayRule.FIXED, 60_000), REST, dealer])) == [60_000, 50_000, 10_000]


def test_by_line_a_payer_has_its_lines_with_their_tax_and_share_of_the_discount() -> None:
    rows = who_pays(a_bill(30_000, 10_000, discount=4_000), [owner(PayRule.LINES, 0, 1), REST])
    assert sums(rows) == [10_800, 32_400]


@pytest.mark.parametrize(
    ("terms", "words"),
    [
        (
            [PayTerm("owner", PayRule.EXCESS, 0, betterment_minor=100_001, betterment_code="S"), REST],
            "more than the total",
        ),
        ([owner(PayRule.EXCESS, -1), REST], "zero or more"),
        ([owner(PayRule.FIXED, 120_001), REST], "more than the total"),
        ([owner(PayRule.LINES, 0, 2), REST], "not on this bill"),
        ([owner(PayRule.LINES, 0, 0), PayTerm("x", PayRule.LINES, 0, frozenset({0})), REST], "one payer only"),
        ([owner(PayRule.EXCESS_AND_TAX, 1), PayTerm("x", PayRule.EXCESS_AND_TAX), REST], "one payer can pay the tax"),
        ([owner(PayRule.FIXED, 1)], "must pay the rest"),
        ([owner(PayRule.REST), REST], "must pay the rest"),
        ([owner(PayRule.FIXED, 1), owner(PayRule.REST)], "each payer only once"),
        ([], "must pay the rest"),
    ],
)
def test_shares_that_cannot_be_are_refused_in_a_sentence(terms: list[PayTerm], words: str) -> None:
    with pytest.raises(RuleBroken, match=words):
        who_pays(a_bill(100_000), terms)


def test_a_bill_below_zero_is_not_split() -> None:
    with pytest.raises(RuleBroken, match="credit note"):
        who_pays(a_bill(-100), [owner(PayRule.REST)])


def test_a_thousand_random_splits_sum_to_the_gross() -> None:
    dice = random.Random(3)
    for _ in range(1_000):
        lines = [
            BillLine(LineKind.PART, "part", dice.randrange(1, 90_000), dice.choice("SL"))
            for _ in range(dice.randrange(1, 7))
        ]
        bill = make_bill(lines, RATES, includes_tax=dice.random() < 0.5, discount_minor=dice.randrange(2))
        first = dice.choice(
            [
                owner(PayRule.EXCESS, dice.randrange(bill.gross_minor + 1)),
                owner(PayRule.EXCESS_AND_TAX, dice.randrange(bill.net_minor + 1)),
                owner(PayRule.FIXED, dice.randrange(bill.gross_minor + 1)),
                owner(PayRule.LINES, 0, *(place for place in range(len(lines)) if dice.random() < 0.5)),
            ]
        )
        rows = who_pays(bill, [first, REST])
        assert sum(sums(rows)) == bill.gross_minor
        assert all(row.gross_minor == sum(minor for _, minor in row.parts) >= 0 for row in rows)


@pytest.mark.parametrize(
    ("gross", "tax", "rows", "parts"),
    [
        (12000, 2000, [("excess, tax", 34800), ("the rest", 24001)], [2000, 10000]),
        (12000, 2000, [("tax", 9800), ("the rest", 49001)], [2000, 10000]),
        (40000, 6667, [("excess, tax", 34800), ("the rest", 24001)], [15999, 24001]),
        (33600, 2489, [("excess", 50000), ("the rest", 55208)], [0, 33600]),
        (60000, 4444, [("excess", 50000), ("the rest", 55208)], [4792, 55208]),
        (105208, 4089, [("excess", 50000), ("the rest", 55208)], [50000, 55208]),
        (600, 100, [("lines under VAT", 1000), ("the rest", 2000)], [200, 400]),
        (600, 100, [("all of it", 1000)], [600]),
    ],
)
def test_a_credit_leaves_the_excess_and_gives_the_tax_back_to_whoever_pays_it(
    gross: int, tax: int, rows: list[tuple[str, int]], parts: list[int]
) -> None:
    """Worked by hand: an excess is what the owner bears of a claim, whatever the repair comes to (common practice)."""
    assert share_credit(gross, tax, rows) == parts


def test_a_credit_beyond_what_is_left_of_an_invoice_is_refused() -> None:
    with pytest.raises(RuleBroken, match="more than this invoice leaves"):
        share_credit(101, 0, [("all of it", 100)])


EXCESS_500 = [owner(PayRule.EXCESS, 50_000), REST]


@pytest.mark.parametrize(
    ("billed", "further", "shares"),
    [([45_000, 0], 9_750, [5_000, 4_750]), ([52_000, 0], 2_750, [0, 2_750]), ([45_000, 6_000], 3_750, [3_750, 0])],
)
def test_a_further_bill_asks_of_each_its_share_of_all_less_what_it_was_billed(
    billed: list[int], further: int, shares: list[int]
) -> None:
    """450.00, then 97.50: 50.00 is left of the excess. Who was billed too much leaves the others that much less."""
    whole, before = (who_pays(us_labor(net), EXCESS_500) for net in (54_750, 45_000))
    rows = share_further(whole, before, billed, further)
    assert [(row.payer, row.gross_minor) for row in rows] == [("owner", shares[0]), ("insurer", shares[1])]


def test_a_further_share_is_made_up_of_what_came_to_it_since() -> None:
    whole, before = (who_pays(us_labor(net), EXCESS_500) for net in (54_750, 45_000))
    rows = share_further(whole, before, [45_000, 0], 9_750)
    assert [row.parts for row in rows] == [(("excess", 5_000),), (("the rest", 4_750),)]
    assert [row.parts for row in share_further(before, before, [45_000, 0], 0)] == [(), ()]


def test_what_another_was_billed_too_much_comes_off_the_rest_in_words_too() -> None:
    """520.00 was billed of an excess of 500.00: of 27.50 more the insurer pays all, said as 27.50 of the rest."""
    whole, before = (who_pays(us_labor(net), EXCESS_500) for net in (54_750, 45_000))
    assert share_further(whole, before, [52_000, 0], 2_750)[1].parts == (("the rest", 2_750),)


def us_labor(net: int) -> Bill:
    return make_bill([BillLine(LineKind.LABOUR, "labor", net, "none")], US)
