"""Who pays what of one bill: the sum is split between payers, the bill itself and its tax stay as they are."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from shopbook.trade.amounts import divide_half_away, share_out
from shopbook.trade.billing import Bill
from shopbook.trade.errors import RuleBroken


class PayRule(StrEnum):
    """How the gross of a bill is split between the car's owner and somebody else."""

    ALL = "all"
    EXCESS = "excess"
    EXCESS_AND_TAX = "excess_and_tax"
    FIXED = "fixed"
    BY_LINE = "by_line"


@dataclass(frozen=True, slots=True)
class PayTerms:
    """The rule and its figures; `payers[0]` is the car's owner.

    `excess_minor` serves the two excess rules (payers: owner, insurer). `fixed_minor` holds the sums that the payers
    after the owner pay (owner: the rest). `line_payers` holds the place in `payers` for each line of the bill that is
    not on the whole bill, in order.
    """

    rule: PayRule
    payers: tuple[str, ...]
    excess_minor: int = 0
    fixed_minor: tuple[int, ...] = ()
    line_payers: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class PayerShare:
    """What one payer pays, and of what it is made up: (words, minor) rows that sum to it."""

    payer: str
    gross_minor: int
    parts: tuple[tuple[str, int], ...]


def who_pays(bill: Bill, terms: PayTerms) -> tuple[PayerShare, ...]:
    """One row per payer in the order of `terms.payers`, rows of nought kept; they sum to the gross exactly.

    The excess comes off the sum with tax and is never a discount. A car's owner who is registered for the tax pays it
    and the excess, the insurer the rest of the net (HMRC VIT13500 and VATSC06540: the repair is supplied to the owner,
    the insurer only pays part of it). Raises RuleBroken where the figures ask for more than the bill comes to.
    """
    if bill.gross_minor < 0:
        raise RuleBroken("A bill below nought has nobody to pay it; write a credit note.")
    wanted = _WANTED.get(terms.rule, 1)
    if len(terms.payers) < wanted or len(set(terms.payers)) != len(terms.payers):
        raise RuleBroken("Name each payer once, the car's owner first.", "payers")
    if terms.rule is PayRule.ALL:
        return _rows(terms, [[("all of it", bill.gross_minor)]])
    if terms.rule is PayRule.EXCESS:
        return _split_excess(bill, terms)
    if terms.rule is PayRule.EXCESS_AND_TAX:
        return _split_excess_and_tax(bill, terms)
    if terms.rule is PayRule.FIXED:
        return _split_fixed(bill, terms)
    return _split_by_line(bill, terms)


_WANTED = {PayRule.EXCESS: 2, PayRule.EXCESS_AND_TAX: 2, PayRule.FIXED: 2, PayRule.BY_LINE: 2}


def _rows(terms: PayTerms, parts: Sequence[Sequence[tuple[str, int]]]) -> tuple[PayerShare, ...]:
    filled = [*parts, *([()] * (len(terms.payers) - len(parts)))]
    return tuple(
        PayerShare(payer, sum(minor for _, minor in rows), tuple(row for row in rows if row[1]))
        for payer, rows in zip(terms.payers, filled, strict=True)
    )


def _check_excess(excess_minor: int, limit_minor: int, of_what: str) -> None:
    if excess_minor < 0:
        raise RuleBroken("An excess is not below nought.", "excess")
    if excess_minor > limit_minor:
        raise RuleBroken(
            f"The excess is more than {of_what}: the owner pays all of it and there is no claim.", "excess"
        )


def _split_excess(bill: Bill, terms: PayTerms) -> tuple[PayerShare, ...]:
    _check_excess(terms.excess_minor, bill.gross_minor, "the bill")
    return _rows(terms, [[("excess", terms.excess_minor)], [("the rest", bill.gross_minor - terms.excess_minor)]])


def _split_excess_and_tax(bill: Bill, terms: PayTerms) -> tuple[PayerShare, ...]:
    _check_excess(terms.excess_minor, bill.net_minor, "the bill without tax")
    owner = [("excess", terms.excess_minor), ("tax", bill.tax_minor)]
    return _rows(terms, [owner, [("the rest without tax", bill.net_minor - terms.excess_minor)]])


def _split_fixed(bill: Bill, terms: PayTerms) -> tuple[PayerShare, ...]:
    if len(terms.fixed_minor) != len(terms.payers) - 1 or min(terms.fixed_minor) < 0:
        raise RuleBroken("Give each payer after the owner a sum, not below nought.", "fixed")
    rest = bill.gross_minor - sum(terms.fixed_minor)
    if rest < 0:
        raise RuleBroken("The fixed sums come to more than the bill.", "fixed")
    return _rows(terms, [[("the rest", rest)], *([("fixed sum", minor)] for minor in terms.fixed_minor)])


def _split_by_line(bill: Bill, terms: PayTerms) -> tuple[PayerShare, ...]:
    plain = [place for place, row in enumerate(bill.lines) if not row.line.is_whole_bill]
    if len(terms.line_payers) != len(plain):
        raise RuleBroken("Say for each line of the bill who pays it.", "lines")
    if not all(0 <= payer < len(terms.payers) for payer in terms.line_payers):
        raise RuleBroken("A line names a payer that this bill does not have.", "lines")
    payer_of = dict(zip(plain, terms.line_payers, strict=True))
    parts: list[list[tuple[str, int]]] = [[] for _ in terms.payers]
    for total in bill.taxes:
        weights = [0] * len(terms.payers)
        for place in plain:
            if bill.lines[place].line.tax_code == total.rate.code:
                weights[payer_of[place]] += bill.lines[place].net_minor
        for payer, gross in enumerate(_share_total(total.gross_minor, weights)):
            parts[payer].append((f"lines under {total.rate.name}", gross))
    rows = _rows(terms, parts)
    if any(row.gross_minor < 0 for row in rows):
        raise RuleBroken("One payer's lines come to less than nought; move a line.", "lines")
    return rows


def _share_total(gross: int, weights: Sequence[int]) -> list[int]:
    if min(weights) >= 0:
        return share_out(gross, weights)
    whole = sum(weights)
    if whole == 0:
        raise RuleBroken("These lines cancel each other out; let one payer pay them all.", "lines")
    shares = [divide_half_away(gross * weight, whole) for weight in weights]
    shares[weights.index(max(weights))] += gross - sum(shares)
    return shares
