"""Deposits: taxed when taken, held or a security, and taken off the final bill per kind of tax."""

import random

import pytest

from shopbook.trade.billing import Bill, BillLine, LineKind, TaxKind, TaxRate, make_bill
from shopbook.trade.deposits import Deposit, DepositRule, DepositSpread, deduct_deposits, main_rate, take_deposit
from shopbook.trade.errors import RuleBroken

RATES = [TaxRate("S", "VAT 20 %", 20_000), TaxRate("R", "VAT 5 %", 5_000), TaxRate("E", "exempt", 0, TaxKind.EXEMPT)]


def a_bill(**amounts: int) -> Bill:
    return make_bill([BillLine(LineKind.LABOUR, "work", amount, code) for code, amount in amounts.items()], RATES)


def taxed(amount: int, agreed: Bill, spread: DepositSpread = DepositSpread.MAIN) -> Bill:
    bill = take_deposit(DepositRule.TAXED_WHEN_TAKEN, amount, agreed, spread).bill
    assert bill is not None
    return bill


def test_a_deposit_taxed_when_taken_holds_its_tax_inside() -> None:
    bill = taxed(12_000, a_bill(S=100_000, E=5_000))
    assert (bill.net_minor, bill.tax_minor, bill.gross_minor) == (10_000, 2_000, 12_000)
    assert bill.net_by_kind == {LineKind.DEPOSIT: 10_000}


def test_a_deposit_over_the_whole_bill_falls_under_each_kind_of_tax_in_proportion() -> None:
    bill = taxed(1_001, a_bill(S=10_000, R=10_000, E=10_000), DepositSpread.BY_BILL)
    assert [(row.rate.code, row.gross_minor) for row in bill.taxes] == [("S", 370), ("R", 323), ("E", 308)]


@pytest.mark.parametrize(("rule", "counts"), [(DepositRule.HELD, True), (DepositRule.SECURITY, False)])
def test_a_held_deposit_is_prepaid_and_a_security_is_not_and_neither_is_taxed(rule: DepositRule, counts: bool) -> None:
    assert take_deposit(rule, 5_000, a_bill(S=100_000)) == Deposit(rule, 5_000, None)
    assert take_deposit(rule, 5_000, a_bill(S=100_000)).counts_as_prepaid is counts


def test_the_final_bill_charges_what_the_deposit_left() -> None:
    bill = a_bill(S=100_000, E=5_000)
    final = deduct_deposits(bill, [taxed(12_000, bill)])
    assert [(row.rate.code, row.basis_minor, row.tax_minor) for row in final.rest] == [
        ("S", 90_000, 18_000),
        ("E", 5_000, 0),
    ]
    assert (final.gross_minor, final.to_credit) == (113_000, ())


def test_a_deposit_beyond_the_final_bill_is_credited_and_the_rest_is_not_below_nought() -> None:
    deposit = taxed(60_000, a_bill(S=100_000))
    final = deduct_deposits(a_bill(S=20_000, E=30_000), [deposit])
    assert (final.gross_minor, final.credit_minor) == (30_000, 36_000)
    assert [(row.basis_minor, row.tax_minor) for row in final.to_credit] == [(30_000, 6_000)]


def test_a_rate_that_changed_in_between_is_refused_with_what_to_do() -> None:
    old = [TaxRate("S", "VAT", 19_000)]
    deposit = make_bill([BillLine(LineKind.DEPOSIT, "Deposit", 119, "S")], old, includes_tax=True)
    with pytest.raises(RuleBroken, match="old rate"):
        deduct_deposits(a_bill(S=20_000), [deposit])


@pytest.mark.parametrize(("amount", "words"), [(0, "above nought"), (-1, "above nought"), (120_001, "agreed sum")])
def test_a_deposit_that_cannot_be_is_refused(amount: int, words: str) -> None:
    with pytest.raises(RuleBroken, match=words):
        take_deposit(DepositRule.HELD, amount, a_bill(S=100_000))
    with pytest.raises(RuleBroken, match="Price the work"):
        main_rate(a_bill())


def test_a_thousand_random_deposits_and_rests_make_up_their_bill() -> None:
    dice = random.Random(4)
    for _ in range(1_000):
        bill = a_bill(**{code: dice.randrange(1, 90_000) for code in ("S", "R", "E")})
        deposits = [
            taxed(dice.randrange(1, bill.gross_minor), bill, dice.choice(list(DepositSpread)))
            for _ in range(dice.randrange(3))
        ]
        final = deduct_deposits(bill, deposits)
        taken = sum(deposit.gross_minor for deposit in deposits)
        taken_tax = sum(deposit.tax_minor for deposit in deposits)
        assert final.gross_minor - final.credit_minor == bill.gross_minor - taken
        assert final.tax_minor - sum(row.tax_minor for row in final.to_credit) == bill.tax_minor - taken_tax
        assert all(row.gross_minor >= 0 for row in (*final.rest, *final.to_credit))
