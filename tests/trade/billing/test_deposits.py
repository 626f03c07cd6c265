"""Deposits: taxed when taken, held or a security, and taken off the final bill per kind of tax."""

import random
from collections.abc import Sequence

import pytest

from shopbook.trade.billing import Bill, BillLine, LineKind, TaxKind, TaxRate, TaxTotal, make_bill
from shopbook.trade.billing.deposits import (
    Deposit,
    DepositRule,
    DepositSpread,
    deduct_deposits,
    main_rate,
    take_deposit,
)
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


@pytest.mark.parametrize("rule", [DepositRule.HELD, DepositRule.SECURITY])
def test_neither_a_held_deposit_nor_a_security_is_taxed(rule: DepositRule) -> None:
    assert take_deposit(rule, 5_000, a_bill(S=100_000)) == Deposit(rule, 5_000, None)


def test_a_security_may_pass_what_was_agreed() -> None:
    assert take_deposit(DepositRule.SECURITY, 500_000, a_bill(S=100_000)).amount_minor == 500_000


def test_a_deposit_may_be_the_whole_of_what_was_agreed_and_leaves_nothing_to_charge() -> None:
    bill = a_bill(S=100_000)
    final = deduct_deposits(bill, [taxed(120_000, bill)])
    assert (final.gross_minor, final.to_credit) == (0, ())
    assert [(row.basis_minor, row.tax_minor) for row in final.rest] == [(0, 0)]


def test_a_kind_of_tax_that_comes_to_nothing_takes_no_part_of_a_deposit() -> None:
    agreed = a_bill(S=0, R=10_000)
    assert [row.rate.code for row in agreed.taxes] == ["S", "R"]
    assert [row.rate.code for row in taxed(1_050, agreed, DepositSpread.BY_BILL).taxes] == ["R"]


def test_the_final_bill_charges_what_the_deposit_left() -> None:
    bill = a_bill(S=100_000, E=5_000)
    final = deduct_deposits(bill, [taxed(12_000, bill)])
    assert [(row.rate.code, row.basis_minor, row.tax_minor) for row in final.rest] == [
        ("S", 90_000, 18_000),
        ("E", 5_000, 0),
    ]
    assert (final.gross_minor, final.to_credit) == (113_000, ())


def test_a_deposit_beyond_the_final_bill_is_credited_and_the_rest_is_not_below_zero() -> None:
    deposit = taxed(60_000, a_bill(S=100_000))
    final = deduct_deposits(a_bill(S=20_000, E=30_000), [deposit])
    assert (final.gross_minor, final.credit_minor) == (30_000, 36_000)
    assert [(row.basis_minor, row.tax_minor) for row in final.to_credit] == [(30_000, 6_000)]


def paid_at(rate_thousandths: int, amount: int) -> Bill:
    rate = TaxRate("S", "VAT", rate_thousandths)
    return make_bill([BillLine(LineKind.DEPOSIT, "Deposit", amount, "S")], [rate], includes_tax=True)


def rows(totals: Sequence[TaxTotal]) -> list[tuple[int, int, int]]:
    return [(row.rate.rate_thousandths, row.basis_minor, row.tax_minor) for row in totals]


def test_what_was_paid_before_a_change_of_rate_keeps_its_own_and_the_rest_has_the_new_one() -> None:
    """EU Directive 2006/112, Art. 93 (a) with Art. 65: a payment on account is taxed at the rate when it was due.

    Of 1,000.00 net, 119.00 was paid at 19 %: 100.00 and 19.00; the other 900.00 is taxed at the 20 % of today.
    """
    final = deduct_deposits(a_bill(S=100_000, E=5_000), [paid_at(19_000, 11_900)])
    assert rows(final.rest) == [(20_000, 90_000, 18_000), (0, 5_000, 0)]
    assert rows(final.deducted) == [(20_000, 10_000, 1_900)]
    assert (final.bill.gross_minor, final.gross_minor, final.credit_minor) == (124_900, 113_000, 0)


def test_a_price_that_holds_its_tax_stays_what_it_is_when_the_rate_changes() -> None:
    """1,200.00 with tax, 119.00 of it paid at 19 %: the other 1,081.00 holds 180.17 at 20 %."""
    lines = [BillLine(LineKind.LABOUR, "a", 100_000, "S"), BillLine(LineKind.LABOUR, "b", 20_000, "S")]
    final = deduct_deposits(make_bill(lines, RATES, includes_tax=True), [paid_at(19_000, 11_900)])
    assert rows(final.rest) == [(20_000, 90_083, 18_017)]
    assert final.bill.gross_minor == 120_000
    assert sum(row.net_minor for row in final.bill.lines) == final.bill.net_minor == 100_083


def test_what_was_paid_too_much_before_a_change_goes_back_at_its_own_rate() -> None:
    final = deduct_deposits(a_bill(S=20_000), [paid_at(19_000, 35_700)])
    assert (final.gross_minor, rows(final.to_credit)) == (0, [(20_000, 10_000, 1_900)])


@pytest.mark.parametrize(("amount", "words"), [(0, "above zero"), (-1, "above zero"), (120_001, "approved total")])
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


def test_the_least_deposit_is_one_minor_unit_and_zero_is_none() -> None:
    assert take_deposit(DepositRule.HELD, 1, a_bill(S=100_000)).amount_minor == 1
    with pytest.raises(RuleBroken, match="above zero"):
        take_deposit(DepositRule.HELD, 0, a_bill(S=100_000))
