"""Money taken before the work is done: its tax, its own numbered paper, and how the final bill takes it off."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from shopbook.trade.billing import Bill, BillLine, LineKind, TaxRate, TaxTotal, make_bill, with_taxes
from shopbook.trade.billing.shares import share_within
from shopbook.trade.errors import RuleBroken


class DepositRule(StrEnum):
    """What the law of the place makes of a deposit.

    Where there is VAT, money taken for a known repair makes tax due the day it is received (EU Directive 2006/112,
    Art. 65; UK VAT Act 1994, s. 6(4)); elsewhere tax usually waits for completion. A security that is given back is
    neither. The country proposes, the shop and its accountant decide.
    """

    TAXED_WHEN_TAKEN = "taxed"
    HELD = "held"
    SECURITY = "security"


class DepositSpread(StrEnum):
    """Under which kinds of tax a taxed deposit falls: the bill's main one, or all of them in proportion."""

    MAIN = "main"
    BY_BILL = "by_bill"


@dataclass(frozen=True, slots=True)
class Deposit:
    """Money taken; `bill` is what its own invoice says, there only where tax is due at once."""

    rule: DepositRule
    amount_minor: int
    bill: Bill | None


@dataclass(frozen=True, slots=True)
class FinalBill:
    """A final bill with its taxed deposits taken off.

    `rest` is what is charged now and `to_credit` what the deposits taxed too much, both per kind of tax and with tax
    never below zero: rest less credit is the bill less its deposits. Where a deposit paid all of it, a unit of
    rounding may stand between basis and tax.
    """

    bill: Bill
    deducted: tuple[TaxTotal, ...]
    rest: tuple[TaxTotal, ...]
    to_credit: tuple[TaxTotal, ...]

    @property
    def net_minor(self) -> int:
        return sum(row.basis_minor for row in self.rest)

    @property
    def tax_minor(self) -> int:
        return sum(row.tax_minor for row in self.rest)

    @property
    def gross_minor(self) -> int:
        return self.net_minor + self.tax_minor

    @property
    def credit_minor(self) -> int:
        """What goes back, with tax, by a credit note against the deposit's own invoice."""
        return sum(row.gross_minor for row in self.to_credit)


def main_rate(bill: Bill) -> TaxRate:
    """The kind of tax with the largest basis, the first of equals; RuleBroken for a bill without lines."""
    if not bill.taxes:
        raise RuleBroken("Price the work first, so that the deposit is taxed correctly.", "deposit")
    return max(bill.taxes, key=lambda row: row.basis_minor).rate


def take_deposit(
    rule: DepositRule, amount_minor: int, agreed: Bill, spread: DepositSpread = DepositSpread.MAIN
) -> Deposit:
    """The deposit of `amount_minor`, tax inside, towards the `agreed` work.

    Raises RuleBroken for a sum that is not above zero or passes what was agreed (a security may).
    """
    if amount_minor <= 0:
        raise RuleBroken("Enter an amount above zero, for example 120 or 120.50.", "deposit")
    if rule is not DepositRule.SECURITY and amount_minor > agreed.gross_minor:
        raise RuleBroken("The deposit is more than the approved total. Enter a smaller amount.", "deposit")
    is_taxed = rule is DepositRule.TAXED_WHEN_TAKEN
    return Deposit(rule, amount_minor, _invoice(amount_minor, agreed, spread) if is_taxed else None)


def _invoice(amount_minor: int, agreed: Bill, spread: DepositSpread) -> Bill:
    if spread is DepositSpread.MAIN:
        rate = main_rate(agreed)
        return make_bill([BillLine(LineKind.DEPOSIT, "Deposit", amount_minor, rate.code)], [rate], includes_tax=True)
    rates = [row.rate for row in agreed.taxes if row.gross_minor > 0]
    parts = share_within(amount_minor, [row.gross_minor for row in agreed.taxes if row.gross_minor > 0])
    lines = [
        BillLine(LineKind.DEPOSIT, f"Deposit, {rate.name}", part, rate.code)
        for rate, part in zip(rates, parts, strict=True)
        if part
    ]
    return make_bill(lines, rates, includes_tax=True)


def deduct_deposits(bill: Bill, deposits: Sequence[Bill]) -> FinalBill:
    """`bill` with the deposit invoices taken off, basis and tax per kind of tax.

    Where deposits were taxed under a kind beyond what the bill has under it, the difference is to be credited. Tax is
    never worked out again on the rest, so bill, deposits and rest agree to the last unit. Where a rate changed between
    deposit and completion the bill's tax is made up of both, see `_at_rates_paid`, and the answer holds that bill.
    """
    bill = _at_rates_paid(bill, deposits)
    rows = [(_under(rate, [bill]), _under(rate, deposits)) for rate in _all_rates([bill, *deposits])]
    rest, to_credit = [], []
    for billed, off in rows:
        left = billed - off
        if left.gross_minor < 0 <= billed.gross_minor:
            to_credit.append(off - billed)
        elif left.basis_minor or left.tax_minor or billed.basis_minor:
            rest.append(left)
    deducted = tuple(off for _, off in rows if off.basis_minor or off.tax_minor)
    return FinalBill(bill, deducted, tuple(rest), tuple(to_credit))


def _at_rates_paid(bill: Bill, deposits: Sequence[Bill]) -> Bill:
    """The bill where what was paid before a change of rate keeps the rate of its own day.

    Tax on a payment on account goes by the rate in force when it became due, the rest by that of the day of supply
    (EU Directive 2006/112, Art. 93 (a) with Art. 65). Art. 95 lets a state adjust that: there the deposit is credited
    first, so that nothing of it is left to take off.
    """
    taxes = []
    for total in bill.taxes:
        taken = [row for deposit in deposits for row in deposit.taxes if row.rate.code == total.rate.code]
        is_changed = any(row.rate.rate_thousandths != total.rate.rate_thousandths for row in taken)
        taxes.append(_made_up(total, taken, includes_tax=bill.includes_tax) if is_changed else total)
    return bill if tuple(taxes) == bill.taxes else with_taxes(bill, taxes)


def _made_up(total: TaxTotal, taken: Sequence[TaxTotal], *, includes_tax: bool) -> TaxTotal:
    """Of one kind of tax: what was paid, as it was taxed, and the rest of the price at the rate of `total`.

    Where more was paid than the price comes to, the difference is reckoned back at the rate that was paid last.
    """
    paid_net, paid_tax = sum(row.basis_minor for row in taken), sum(row.tax_minor for row in taken)
    left = total.gross_minor - paid_net - paid_tax if includes_tax else total.basis_minor - paid_net
    rate = total.rate if left >= 0 else taken[-1].rate
    (rest,) = make_bill([BillLine(LineKind.FEE, "", left, rate.code)], [rate], includes_tax=includes_tax).taxes
    return replace(total, basis_minor=paid_net + rest.basis_minor, tax_minor=paid_tax + rest.tax_minor)


def _under(rate: TaxRate, bills: Sequence[Bill]) -> TaxTotal:
    """What these bills hold under one kind of tax."""
    return sum((row for bill in bills for row in bill.taxes if row.rate.code == rate.code), TaxTotal(rate, 0, 0))


def _all_rates(bills: Sequence[Bill]) -> list[TaxRate]:
    """The kinds of tax of these bills in order of mention; where one has two rates, the first."""
    rates: dict[str, TaxRate] = {}
    for bill in bills:
        for row in bill.taxes:
            rates.setdefault(row.rate.code, row.rate)
    return list(rates.values())
