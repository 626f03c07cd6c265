"""Who pays what of one bill: the sum is split between payers, the bill itself and its tax stay as they are."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from shopbook.trade.billing import Bill
from shopbook.trade.billing.lines import WHOLE_RATE
from shopbook.trade.billing.shares import share_within
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.amounts import divide_half_away

TAX, REST, LINES_UNDER = "tax", "the rest", "lines under "
"""Words of the parts of a share; an issued paper keeps them, and a credit note is shared by them."""


class PayRule(StrEnum):
    """How one payer's share of the gross is found; exactly one payer of a bill pays the rest."""

    EXCESS = "excess"
    EXCESS_AND_TAX = "excess_and_tax"
    FIXED = "fixed"
    LINES = "lines"
    REST = "rest"


EXCESSES = frozenset({PayRule.EXCESS, PayRule.EXCESS_AND_TAX})


@dataclass(frozen=True, slots=True)
class PayTerm:
    """One payer's rule.

    `amount_minor` is for an excess or a fixed sum; `places` are the payer's own lines of the bill, from zero;
    `betterment_minor` (without tax, under the kind of tax `betterment_code`) is what the repair makes better than it
    was, which no insurer pays. Own lines and betterment count beside every rule but the rest.
    """

    payer: str
    rule: PayRule
    amount_minor: int = 0
    places: frozenset[int] = frozenset()
    betterment_minor: int = 0
    betterment_code: str = ""


@dataclass(frozen=True, slots=True)
class PayerShare:
    """What one payer pays, and of what it is made up: (words, minor) rows that sum to it."""

    payer: str
    gross_minor: int
    parts: tuple[tuple[str, int], ...]


def who_pays(bill: Bill, terms: Sequence[PayTerm]) -> tuple[PayerShare, ...]:
    """The share of each payer in the order of `terms`, rows of zero kept; they sum to the gross exactly.

    A customer with an excess pays min(excess, claim) + betterment + own lines + (the tax, if registered for it), and
    one other the rest. The claim is the net for a registered customer, else the total with tax, less betterment,
    own lines and what other payers bear by a rule of their own; all of these count with their tax, beside a registered
    customer without (HMRC VIT13500 and VATSC06540: the repair is supplied to the customer, the insurer only pays part
    of it; the rest is common practice). So 1,814.95 with an excess of 500.00 is 500.00 and 1,314.95; with betterment
    of 60.00 + tax 4.80 it is 564.80 and 1,250.15; a final bill of 450.00 is 450.00 and 0.00; and 1,500.00 + VAT 300.00
    with an excess of 250.00 is 250.00 and 1,550.00, for a registered customer 550.00 and 1,250.00.

    A whole-bill discount follows the lines under its kind of tax. Raises RuleBroken where betterment, lines and fixed
    sums ask for more than the bill comes to, or nobody, or more than one, pays the rest.
    """
    _check(bill, terms)
    is_net = any(term.rule is PayRule.EXCESS_AND_TAX for term in terms)
    owned = [_own(bill, term, is_net=is_net) for term in terms]
    rest = bill.gross_minor - sum(minor for rows in owned for _, minor in rows)
    if rest < 0:
        raise RuleBroken("The shares add up to more than the total. Enter smaller amounts.", "payers")
    excesses = _excesses(terms, rest)
    last = (REST if len(terms) > 1 else "all of it", rest - sum(excesses))
    rows = []
    for term, excess, own in zip(terms, excesses, owned, strict=True):
        row = ("excess", excess)
        rows.append(_share(term.payer, [row, last] if term.rule is PayRule.REST else [row, *own]))
    return tuple(rows)


def _share(payer: str, parts: Sequence[tuple[str, int]]) -> PayerShare:
    gross = sum(minor for _, minor in parts)
    if gross < 0:
        raise RuleBroken("One payer's items add up to less than zero. Give that payer other items.", "payers")
    return PayerShare(payer, gross, tuple(row for row in parts if row[1]))


def _excesses(terms: Sequence[PayTerm], rest: int) -> list[int]:
    """The excess of each payer in order, as far as what is left of the bill goes."""
    found: list[int] = []
    for term in terms:
        found.append(min(term.amount_minor, rest - sum(found)) if term.rule in EXCESSES else 0)
    return found


def _check(bill: Bill, terms: Sequence[PayTerm]) -> None:
    if bill.gross_minor < 0:
        raise RuleBroken("The total is below zero. Write a credit note instead.")
    _check_rules(terms)
    places = [place for term in terms for place in term.places]
    if len(set(places)) != len(places):
        raise RuleBroken("Give each item to one payer only.", "payers")
    if not all(0 <= place < len(bill.lines) for place in places):
        raise RuleBroken("One payer has an item that is not on this bill.", "payers")


def _check_rules(terms: Sequence[PayTerm]) -> None:
    if len({term.payer for term in terms}) != len(terms):
        raise RuleBroken("Choose each payer only once.", "payers")
    if sum(term.rule is PayRule.REST for term in terms) != 1:
        raise RuleBroken("Exactly one payer must pay the rest.", "payers")
    if sum(term.rule is PayRule.EXCESS_AND_TAX for term in terms) > 1:
        raise RuleBroken("Only one payer can pay the tax.", "payers")
    if any(min(term.amount_minor, term.betterment_minor) < 0 for term in terms):
        raise RuleBroken("Enter an amount of zero or more for each payer.", "payers")


def _own(bill: Bill, term: PayTerm, *, is_net: bool) -> list[tuple[str, int]]:
    """What a payer bears before any excess: the tax, a fixed sum, betterment and own lines (`is_net`: without tax)."""
    if term.rule is PayRule.REST:
        return []
    fixed = term.amount_minor if term.rule is PayRule.FIXED else 0
    tax = bill.tax_minor if term.rule is PayRule.EXCESS_AND_TAX else 0
    betterment = term.betterment_minor if is_net else betterment_with_tax(bill, term)
    return [(TAX, tax), ("fixed sum", fixed), ("betterment", betterment), *_lines(bill, term, is_net=is_net)]


def betterment_with_tax(bill: Bill, term: PayTerm) -> int:
    """A betterment with the tax that its kind has on that bill; under a kind that the bill lacks it has none."""
    rates = [total.rate.rate_thousandths for total in bill.taxes if total.rate.code == term.betterment_code]
    return term.betterment_minor + divide_half_away(term.betterment_minor * sum(rates[:1]), WHOLE_RATE)


def _lines(bill: Bill, term: PayTerm, *, is_net: bool) -> list[tuple[str, int]]:
    rows = []
    for total in bill.taxes:
        plain = bill.places_under(total.rate.code)
        own = sum(bill.lines[place].net_minor for place in plain if place in term.places)
        whole = sum(bill.lines[place].net_minor for place in plain)
        if own and not whole:
            raise RuleBroken("These items add up to zero. Give them all to one payer.", "payers")
        if own:
            shared = total.basis_minor if is_net else total.gross_minor
            rows.append((f"{LINES_UNDER}{total.rate.name}", divide_half_away(shared * own, whole)))
    return rows


def share_further(
    whole: Sequence[PayerShare], before: Sequence[PayerShare], billed: Sequence[int], gross_minor: int
) -> list[PayerShare]:
    """What each payer pays of a follow-up bill of `gross_minor`: its share of all bills less what it was `billed`.

    `before` are the shares of the earlier bills by the same rules; they only tell what a share is made up of. Where
    somebody was billed more than its share of all, the others pay that much less, whoever pays the rest first. With an
    excess of 500.00, 450.00 and then 97.50: 450.00 and 0.00, then 50.00 and 47.50.
    """
    left = [max(0, row.gross_minor - done) for row, done in zip(whole, billed, strict=True)]
    over = sum(left) - gross_minor
    is_rest = [any(words == REST for words, _ in row.parts) for row in whole]
    for place in sorted(range(len(left)), key=lambda at: not is_rest[at]):
        off = min(left[place], max(0, over))
        left[place] -= off
        over -= off
    return [
        PayerShare(row.payer, share, _added_parts(row, early, share))
        for row, early, share in zip(whole, before, left, strict=True)
    ]


def _added_parts(whole: PayerShare, before: PayerShare, share: int) -> tuple[tuple[str, int], ...]:
    """What a share is made up of; what another was billed too much comes off the rest, or off what was said last."""
    if not share:
        return ()
    known = dict(before.parts)
    parts = {words: minor - known.get(words, 0) for words, minor in whole.parts}
    if parts:
        parts[REST if REST in parts else list(parts)[-1]] += share - sum(parts.values())
    return tuple((words, minor) for words, minor in parts.items() if minor)


def _are_split(words: Sequence[Sequence[str]]) -> bool:
    return any(part.startswith(LINES_UNDER) for told in words for part in told)


def _places_of(mark: str, words: Sequence[Sequence[str]]) -> list[int]:
    return [place for place, told in enumerate(words) if mark in told]


def share_credit(gross_minor: int, tax_minor: int, rows: Sequence[tuple[str, int]]) -> list[int]:
    """What of a credit (with tax) each payer gets; `rows` are the words of each share as issued and what is left of it.

    An excess or a fixed sum stays as it was agreed: the tax goes back to whoever pays the tax by itself, all else to
    whoever pays the rest, and only what passes those to the others. Where lines were split it goes by what is left.
    RuleBroken where the credit passes all that is left.
    """
    left = [max(0, share) for _, share in rows]
    if gross_minor > sum(left):
        raise RuleBroken("That is more than this invoice leaves after credits and earlier payments.")
    parts = [0] * len(rows)
    words = [told.split(", ") for told, _ in rows]
    if not _are_split(words):
        # The tax before all else: whoever pays the rest gets what is then left of the credit.
        for mark, most in ((TAX, tax_minor), (REST, gross_minor)):
            for place in _places_of(mark, words):
                parts[place] += min(most, left[place] - parts[place], gross_minor - sum(parts))
    over = share_within(gross_minor - sum(parts), [most - part for most, part in zip(left, parts, strict=True)])
    return [part + more for part, more in zip(parts, over, strict=True)]
