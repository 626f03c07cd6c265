"""An estimate's sums: items accepted or declined, two ways of doing one thing, a fixed price or an upper limit."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from shopbook.trade.billing import Bill, BillLine, LineKind, TaxRate, fall_under, make_bill
from shopbook.trade.errors import RuleBroken
from shopbook.trade.letters import lower_first
from shopbook.trade.measures.amounts import share_out
from shopbook.trade.pricing.keys import saving_key
from shopbook.trade.pricing.savings import PaintedItem, SavingTerms, further_savings

NO_SAVINGS = SavingTerms()


@dataclass(frozen=True, slots=True)
class PricedGroup:
    """One item of a quote; groups with the same `choice` word exclude one another (empty: stands alone).

    `price_minor` is a price set by hand for the whole group, in the same mode (with or without tax) as the lines.
    `painted` is there for a painted panel, which may save beside another; `first_key` begins the group's own keys.
    """

    key: str
    title: str
    lines: tuple[BillLine, ...]
    choice: str = ""
    price_minor: int | None = None
    painted: PaintedItem | None = None
    first_key: int = 0
    group_key: str = ""

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
                raise RuleBroken(f"“{self.title}” has a price but nothing it is for. Add a line to it.", "lines")
            amounts = share_out(self.price_minor, amounts)
        return [replace(line, amount_minor=amount) for line, amount in zip(lines, amounts, strict=True)]


def saving_lines(
    groups: Sequence[PricedGroup], lines: Sequence[Sequence[BillLine]], terms: SavingTerms
) -> list[BillLine]:
    """What extra painted panels of these groups save: a line each, spread over the kinds of tax of both its items.

    `lines` are those of each group, with the kinds of tax that they fall under on this bill.
    """
    painted = [group for group in groups if group.painted is not None]
    found = []
    for saving in further_savings([group.painted for group in painted if group.painted], terms):
        own, beside = painted[saving.at], painted[saving.beside]
        by_code: dict[str, int] = {}
        for line in (*lines[groups.index(own)], *lines[groups.index(beside)]):
            by_code[line.tax_code] = by_code.get(line.tax_code, 0) + max(line.amount_minor, 0)
        parts = share_out(saving.amount_minor, list(by_code.values()))
        first, second = sorted((own, beside), key=groups.index)
        words = f"{first.title} and {lower_first(second.title)} at once"
        found += [
            BillLine(
                LineKind.SAVING,
                words,
                -part,
                code,
                key=saving_key(own.first_key),
                item=saving_key(own.first_key),
                group_key=own.group_key,
                title=words,
            )
            for code, part in zip(by_code, parts, strict=True)
            if part
        ]
    return found


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
        """The sum with tax that will not be passed without a new approval: the price, or an estimate's upper limit."""
        return self.taken.gross_minor if self.up_to_minor is None else self.up_to_minor


def _taken(groups: Sequence[PricedGroup], keys: Collection[str] | None) -> list[PricedGroup]:
    """The groups with these keys, or without keys the first way of each; RuleBroken as `sum_quote` says."""
    known = {group.key for group in groups}
    if len(known) != len(groups):
        raise RuleBroken("Two items on this {estimate} have the same key.")
    chosen = first_ways(groups) if keys is None else set(keys)
    if not chosen <= known:
        raise RuleBroken("That item is no longer on this {estimate}. Look at it again.")
    mine = [group for group in groups if group.key in chosen]
    ways = [group.choice for group in mine if group.choice]
    if len(set(ways)) != len(ways):
        raise RuleBroken("You chose two ways of doing the same work. Choose one of them.", "groups")
    return mine


def _lines_of(groups: Sequence[PricedGroup], rates: Sequence[TaxRate], savings: SavingTerms) -> list[BillLine]:
    """The lines of these groups under their kinds of tax, and what extra panels among them save."""
    own = [group.bill_lines() for group in groups]
    # All at once: what a line falls under may hang on goods in another group.
    placed = iter(fall_under([line for each in own for line in each], rates))
    by_group = [[next(placed) for _ in each] for each in own]
    return [line for each in by_group for line in each] + saving_lines(groups, by_group, savings)


def sum_quote(
    groups: Sequence[PricedGroup],
    rates: Sequence[TaxRate],
    taken: Collection[str] | None = None,
    *,
    includes_tax: bool = False,
    discount_minor: int = 0,
    up_to_minor: int | None = None,
    savings: SavingTerms = NO_SAVINGS,
    discount_key: int = 0,
) -> QuoteSum:
    """The sums of a quote whose groups with a key in `taken` are taken.

    None takes every group, and of those with one choice word the first. What extra painted panels save follows what
    is taken, never the order. `left_minor` is the sum of the groups left,
    without those whose other way was taken, in the mode of the lines. Raises RuleBroken for an unknown key, two ways
    of one thing, or an estimate whose upper sum is below its price.
    """
    mine = _taken(groups, taken)
    lines = _lines_of(mine, rates, savings)
    bill = make_bill(lines, rates, includes_tax=includes_tax, discount_minor=discount_minor, discount_key=discount_key)
    if up_to_minor is not None and up_to_minor < bill.gross_minor:
        raise RuleBroken("The upper limit must not be below the price.", "up_to")
    left = [group for group in groups if group not in mine]
    return QuoteSum(
        taken=bill,
        taken_keys=tuple(group.key for group in mine),
        left_keys=tuple(group.key for group in left),
        left_minor=_left_minor(left, mine),
        minutes=sum(group.minutes for group in mine),
        up_to_minor=up_to_minor,
    )


def first_ways(groups: Sequence[PricedGroup]) -> set[str]:
    """The keys of the groups that stand for the whole quote: all, and of two ways the first."""
    first = {group.choice: group.key for group in reversed(groups) if group.choice}
    return {group.key for group in groups if not group.choice or first[group.choice] == group.key}


def _left_minor(left: Sequence[PricedGroup], mine: Sequence[PricedGroup]) -> int:
    """The groups left, of two ways the dearer; none where the other way was taken."""
    taken = {group.choice for group in mine if group.choice}
    groups = [group for group in left if group.choice not in taken]
    dearest: dict[str, int] = {}
    for group in groups:
        if group.choice:
            dearest[group.choice] = max(dearest.get(group.choice, 0), group.sum_minor)
    return sum(dearest.values()) + sum(group.sum_minor for group in groups if not group.choice)
