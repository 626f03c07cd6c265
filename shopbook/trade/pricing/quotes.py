"""A quote's sums: groups taken or left, two ways of doing one thing, a fixed price or an estimate up to a sum."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from shopbook.trade.amounts import share_out
from shopbook.trade.billing import Bill, BillLine, TaxRate, make_bill
from shopbook.trade.errors import RuleBroken
from shopbook.trade.pricing.lines import PricedLine


@dataclass(frozen=True, slots=True)
class PricedGroup:
    """One part of a quote; groups with the same `choice` word exclude one another (empty: stands alone).

    `price_minor` is a price set by hand for the whole group, in the same mode (with or without tax) as the lines.
    """

    key: str
    title: str
    lines: tuple[PricedLine, ...]
    choice: str = ""
    price_minor: int | None = None

    @property
    def sum_minor(self) -> int:
        """What the group is offered for."""
        return sum(line.amount_minor for line in self.lines) if self.price_minor is None else self.price_minor

    @property
    def minutes(self) -> int:
        return sum(line.minutes for line in self.lines)

    def bill_lines(self) -> list[BillLine]:
        """The lines as billed; a price set by hand is spread over the kinds of line as the worked-out sums stand.

        Raises RuleBroken for a price without any line: its kind of tax would not be known.
        """
        lines = [line for line in self.lines if line.amount_minor or self.price_minor is not None]
        amounts = [line.amount_minor for line in lines]
        if self.price_minor is not None:
            if not lines:
                raise RuleBroken(f"“{self.title}” has a price but no line; say what it is for.", "lines")
            amounts = share_out(self.price_minor, amounts)
        return [
            BillLine(line.kind, line.words, amount, line.tax_code) for line, amount in zip(lines, amounts, strict=True)
        ]


@dataclass(frozen=True, slots=True)
class QuoteSum:
    """What is taken, as a bill with tax, and what was left; `up_to_minor` (with tax) only for an estimate."""

    taken: Bill
    taken_keys: tuple[str, ...]
    left_keys: tuple[str, ...]
    left_minor: int
    minutes: int
    up_to_minor: int | None

    @property
    def most_minor(self) -> int:
        """The sum with tax that will not be passed without a new yes: the price, or an estimate's upper sum."""
        return self.taken.gross_minor if self.up_to_minor is None else self.up_to_minor


def sum_quote(
    groups: Sequence[PricedGroup],
    rates: Sequence[TaxRate],
    taken: Collection[str] | None = None,
    *,
    includes_tax: bool = False,
    discount_minor: int = 0,
    up_to_minor: int | None = None,
) -> QuoteSum:
    """The sums of a quote whose groups with a key in `taken` are taken.

    None takes every group, and of those with one choice word the first. `left_minor` is the sum of the groups left,
    without those whose other way was taken, in the mode of the lines. Raises RuleBroken for an unknown key, two ways
    of one thing, or an estimate whose upper sum is below its price.
    """
    keys = {group.key for group in groups}
    if len(keys) != len(groups):
        raise RuleBroken("Two parts of this quote have the same key.")
    chosen = _first_ways(groups) if taken is None else set(taken)
    if not chosen <= keys:
        raise RuleBroken("That part is not on this quote; look at it again.")
    mine = [group for group in groups if group.key in chosen]
    ways = [group.choice for group in mine if group.choice]
    if len(set(ways)) != len(ways):
        raise RuleBroken("Two ways of doing the same thing are taken; take one of them.", "groups")
    left = [group for group in groups if group.key not in chosen and (not group.choice or group.choice not in ways)]
    lines = [line for group in mine for line in group.bill_lines()]
    bill = make_bill(lines, rates, includes_tax=includes_tax, discount_minor=discount_minor)
    if up_to_minor is not None and up_to_minor < bill.gross_minor:
        raise RuleBroken("An estimate's upper sum is not below its price.", "up_to")
    return QuoteSum(
        taken=bill,
        taken_keys=tuple(group.key for group in mine),
        left_keys=tuple(group.key for group in groups if group.key not in chosen),
        left_minor=_dearest_ways(left),
        minutes=sum(group.minutes for group in mine),
        up_to_minor=up_to_minor,
    )


def _first_ways(groups: Sequence[PricedGroup]) -> set[str]:
    first = {group.choice: group.key for group in reversed(groups) if group.choice}
    return {group.key for group in groups if not group.choice or first[group.choice] == group.key}


def _dearest_ways(groups: Sequence[PricedGroup]) -> int:
    dearest: dict[str, int] = {}
    for group in groups:
        if group.choice:
            dearest[group.choice] = max(dearest.get(group.choice, 0), group.sum_minor)
    return sum(dearest.values()) + sum(group.sum_minor for group in groups if not group.choice)
