"""A follow-up invoice: what of the agreed work no issued invoice holds, checked over all of them."""

from collections.abc import Sequence
from dataclasses import dataclass

from shopbook.trade.billing import BillLine, TaxRate
from shopbook.trade.billing.billable import Billable, bill_within
from shopbook.trade.errors import RuleBroken
from shopbook.trade.pricing import Allowance

BEFORE_KEYS = "Match the lines of this job’s earlier invoice first, so that we know what is left to bill."


@dataclass(frozen=True, slots=True)
class Asked:
    """What a job asks for in all, discounts among its lines, and what was agreed for it with tax."""

    lines: tuple[BillLine, ...]
    agreed_minor: int
    includes_tax: bool


def bill_rest(
    asked: Asked,
    issued: Sequence[BillLine],
    issued_minor: int,
    rates: Sequence[TaxRate],
    allowance: Allowance | None = None,
) -> Billable:
    """The bill over what no issued line holds; `issued_minor` is what those lines came to with tax.

    Total with them it stays within the agreed sum and the allowance, a unit of rounding for each line left out of
    account: each invoice rounds its tax for itself. Nothing issued: the whole bill. RuleBroken where something was
    invoiced that is no longer agreed, or where the sum of all would pass what was agreed.
    """
    found = bill_within(
        left_to_bill(asked, issued),
        asked.agreed_minor,
        rates,
        includes_tax=asked.includes_tax,
        allowance=allowance,
        already_minor=issued_minor,
    )
    limit = asked.agreed_minor + (allowance or Allowance()).of(asked.agreed_minor)
    rounding = len(issued) + len(found.bill.lines)
    if issued and found.bill.lines and issued_minor + found.bill.gross_minor > limit + rounding:
        raise RuleBroken(
            "With what is already invoiced, this is more than was approved. Credit the invoice and write a new one."
        )
    return found


def left_to_bill(asked: Asked, issued: Sequence[BillLine]) -> tuple[BillLine, ...]:
    """The lines less what was invoiced of each, those invoiced in full left out.

    A line is known again by its key, never by its words. An issued line has its net in `net_minor` and, rounded for
    itself, what it came to with tax in `amount_minor`; where prices hold the tax a difference of no more than a unit
    for each issued line is rounding, not work. A discount stands once for each kind of tax under one key: what was
    invoiced under a kind is taken off that kind first. RuleBroken for an issued line without a key.
    """
    if not all(line.key for line in issued):
        raise RuleBroken(BEFORE_KEYS, "keys")
    rounding = len(issued) if asked.includes_tax else 0
    left: dict[int, int] = {}
    for key in dict.fromkeys(line.key for line in (*asked.lines, *issued)):
        left |= _left_of_key(asked, issued, key, rounding)
    return tuple(line.cut_to(left[place]) for place, line in enumerate(asked.lines) if left[place])


def _left_of_key(asked: Asked, issued: Sequence[BillLine], key: int, rounding: int) -> dict[int, int]:
    own = [(place, line) for place, line in enumerate(asked.lines) if line.key == key]
    rows = [line for line in issued if line.key == key]
    done = [(line.tax_code, line.amount_minor if asked.includes_tax else line.net_minor) for line in rows]
    if sum(amount for _, amount in done) and not own:
        raise RuleBroken(
            f"“{rows[0].words}” is invoiced but no longer approved. Credit the invoice and write a new one.", "payers"
        )
    return _rest_of_key(own, done, rounding)


def _rest_of_key(own: Sequence[tuple[int, BillLine]], done: Sequence[tuple[str, int]], rounding: int) -> dict[int, int]:
    """By place, what is left of the lines of one key: `done` (kind of tax, amount) is used up, its own kind first."""
    left = {place: line.amount_minor for place, line in own}
    if done and abs(sum(left.values()) - sum(amount for _, amount in done)) <= rounding:
        return dict.fromkeys(left, 0)
    for code, amount in done:
        rest = amount
        for place, line in own:
            if line.tax_code == code:
                rest -= _use_up(left, place, rest)
        for place, _ in own:
            rest -= _use_up(left, place, rest)
    return left


def _use_up(left: dict[int, int], place: int, amount: int) -> int:
    """What of an invoiced amount lies in the line at a place, of the same sign and at most the line; taken off it."""
    line = left[place]
    taken = min(line, max(amount, 0)) if line >= 0 else max(line, min(amount, 0))
    left[place] -= taken
    return taken
