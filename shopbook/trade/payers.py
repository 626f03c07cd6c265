"""Who pays what of one bill: the sum is split between payers, the bill itself and its tax stay as they are."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from shopbook.trade.amounts import divide_half_away
from shopbook.trade.billing import Bill
from shopbook.trade.billing.shares import share_within
from shopbook.trade.errors import RuleBroken

TAX, REST, LINES_UNDER = "tax", "the rest", "lines under "
"""Words of the parts of a share; an issued paper keeps them, and a credit note is shared by them."""


class PayRule(StrEnum):
    """How one payer's share of the gross is found; exactly one payer of a bill pays the rest."""

    EXCESS = "excess"
    EXCESS_AND_TAX = "excess_and_tax"
    FIXED = "fixed"
    LINES = "lines"
    REST = "rest"


@dataclass(frozen=True, slots=True)
class PayTerm:
    """One payer's rule: `amount_minor` for an excess or a fixed sum, `places` (lines of the bill, from nought)."""

    payer: str
    rule: PayRule
    amount_minor: int = 0
    places: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class PayerShare:
    """What one payer pays, and of what it is made up: (words, minor) rows that sum to it."""

    payer: str
    gross_minor: int
    parts: tuple[tuple[str, int], ...]


def who_pays(bill: Bill, terms: Sequence[PayTerm]) -> tuple[PayerShare, ...]:
    """One row per payer in the order of `terms`, rows of nought kept; they sum to the gross exactly.

    An excess comes off the sum with tax and is never a discount. A car's owner who is registered for the tax pays it
    and the excess, the insurer the rest of the net (HMRC VIT13500 and VATSC06540: the repair is supplied to the owner,
    the insurer only pays part of it). A whole-bill discount follows the lines under its kind of tax. Raises RuleBroken
    where the figures ask for more than the bill comes to, or nobody, or more than one, pays the rest.
    """
    if bill.gross_minor < 0:
        raise RuleBroken("A bill below nought has nobody to pay it; write a credit note.")
    _check(bill, terms)
    parts = [_PARTS[term.rule](bill, term) for term in terms]
    rest = bill.gross_minor - sum(minor for rows in parts for _, minor in rows)
    if rest < 0:
        raise RuleBroken("The shares come to more than the bill.", "payers")
    rows = []
    for term, named in zip(terms, parts, strict=True):
        own = [(REST if len(terms) > 1 else "all of it", rest)] if term.rule is PayRule.REST else named
        rows.append(PayerShare(term.payer, sum(minor for _, minor in own), tuple(row for row in own if row[1])))
    if any(row.gross_minor < 0 for row in rows):
        raise RuleBroken("One payer's lines come to less than nought; move a line.", "payers")
    return tuple(rows)


def _check(bill: Bill, terms: Sequence[PayTerm]) -> None:
    if len({term.payer for term in terms}) != len(terms):
        raise RuleBroken("Name each payer once.", "payers")
    if sum(term.rule is PayRule.REST for term in terms) != 1:
        raise RuleBroken("Exactly one payer pays the rest.", "payers")
    if any(term.amount_minor < 0 for term in terms):
        raise RuleBroken("A payer's sum is not below nought.", "payers")
    places = [place for term in terms for place in term.places]
    if len(set(places)) != len(places):
        raise RuleBroken("A line has one payer only.", "payers")
    if not all(0 <= place < len(bill.lines) for place in places):
        raise RuleBroken("A payer has a line that this bill does not have.", "payers")
    rules = {term.rule for term in terms}
    if {PayRule.EXCESS_AND_TAX, PayRule.LINES} <= rules:
        raise RuleBroken("Split by line or let the owner pay all the tax: both together would pay tax twice.", "payers")


def _excess(bill: Bill, term: PayTerm) -> list[tuple[str, int]]:
    _check_excess(term, bill.gross_minor, "the bill")
    return [("excess", term.amount_minor)]


def _excess_and_tax(bill: Bill, term: PayTerm) -> list[tuple[str, int]]:
    _check_excess(term, bill.net_minor, "the bill without tax")
    return [("excess", term.amount_minor), (TAX, bill.tax_minor)]


def _check_excess(term: PayTerm, limit_minor: int, of_what: str) -> None:
    if term.amount_minor > limit_minor:
        raise RuleBroken(f"The excess is more than {of_what}: the owner pays all of it, there is no claim.", "payers")


def _lines(bill: Bill, term: PayTerm) -> list[tuple[str, int]]:
    rows = []
    for total in bill.taxes:
        plain = [
            (place, row.net_minor)
            for place, row in enumerate(bill.lines)
            if row.tax_code == total.rate.code and not row.is_whole_bill
        ]
        own = sum(net for place, net in plain if place in term.places)
        whole = sum(net for _, net in plain)
        if own and not whole:
            raise RuleBroken("These lines cancel each other out; let one payer pay them all.", "payers")
        if own:
            rows.append((f"{LINES_UNDER}{total.rate.name}", divide_half_away(total.gross_minor * own, whole)))
    return rows


_PARTS: dict[PayRule, Callable[[Bill, PayTerm], list[tuple[str, int]]]] = {
    PayRule.EXCESS: _excess,
    PayRule.EXCESS_AND_TAX: _excess_and_tax,
    PayRule.FIXED: lambda _bill, term: [("fixed sum", term.amount_minor)],
    PayRule.LINES: _lines,
    PayRule.REST: lambda _bill, _term: [],
}


def share_credit(gross_minor: int, tax_minor: int, rows: Sequence[tuple[str, int]]) -> list[int]:
    """What of a credit (with tax) each payer gets; `rows` are the words of each share as issued and what is left of it.

    An excess or a fixed sum stays as it was agreed: the tax goes back to whoever pays the tax by itself, all else to
    whoever pays the rest, and only what passes those to the others. Where lines were split it goes by what is left.
    RuleBroken where the credit passes all that is left.
    """
    left = [max(0, share) for _, share in rows]
    if gross_minor > sum(left):
        raise RuleBroken("That is more than this invoice comes to once what was taken back or paid before is off.")
    parts = [0] * len(rows)

    def give(place: int, most: int) -> None:
        part = min(most, left[place] - parts[place], gross_minor - sum(parts))
        parts[place] += part

    words = [told.split(", ") for told, _ in rows]
    if not any(part.startswith(LINES_UNDER) for told in words for part in told):
        for place in (at for at, told in enumerate(words) if TAX in told):
            give(place, tax_minor)
        for place in (at for at, told in enumerate(words) if REST in told):
            give(place, gross_minor)
    over = share_within(gross_minor - sum(parts), [most - part for most, part in zip(left, parts, strict=True)])
    return [part + more for part, more in zip(parts, over, strict=True)]
