"""Tax by money received: what each payment, and each part of it that goes back, counts of its invoice's rates."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from itertools import groupby

from shopbook.trade.results.month import TaxRow, tax_sums
from shopbook.trade.results.tax_basis import less, negated, part_of


@dataclass(frozen=True, slots=True)
class MoneySet:
    """So much of a payment set against a paper, or below zero taken off it; `came_on` is the day of the payment."""

    payment_id: int
    paper_id: int
    amount_minor: int
    on: date
    at: datetime
    came_on: date


@dataclass(frozen=True, slots=True)
class MoneyBack:
    """So much of a payment that went back: refunded, reversed, or moved to another customer.

    Below zero where a refund was itself taken back: the payment has that money again.
    """

    payment_id: int
    amount_minor: int
    on: date
    at: datetime


@dataclass(frozen=True, slots=True)
class RowsCredited:
    """Rows of a credit note against a paper, below zero."""

    paper_id: int
    at: datetime
    rows: tuple[TaxRow, ...]


@dataclass(frozen=True, slots=True)
class Received:
    """What counts of a paper on a day because money moved, and when the book knew it."""

    payment_id: int
    paper_id: int
    on: date
    at: datetime
    rows: tuple[TaxRow, ...]


@dataclass(frozen=True, slots=True)
class _Freed:
    """Money that was taken off a paper and still counts as it did there, until it is used or goes back."""

    paper_id: int
    amount_minor: int
    rows: tuple[TaxRow, ...]


Step = MoneySet | MoneyBack | RowsCredited


def tax_received(papers: Mapping[int, Sequence[TaxRow]], steps: Iterable[Step]) -> list[Received]:
    """What counts when, of the rows of these papers and all that happened to their money, in whatever order.

    A payment is split over the rates of its invoice; the last one takes the rest. 960.00 with 160.00 tax, paid 300.00
    and 660.00: 50.00 and 110.00. A credit note counts nothing by itself: money that it frees counts back on the day it
    is refunded, and moves to another invoice without counting twice. Money held counts on the day it came, once an
    invoice says at which rates.
    """
    ledger = _Ledger(papers)
    ordered = sorted(steps, key=lambda step: (step.at, _order(step)))
    for _, together in groupby(ordered, key=lambda step: (step.at, _order(step))):
        ledger.take(list(together))
    return [row for row in ledger.found if row.rows]


def _order(step: Step) -> int:
    """Of one act: what was credited, then what was taken off papers, set against others, and given back."""
    if isinstance(step, RowsCredited):
        return 0
    if isinstance(step, MoneySet):
        return 1 if step.amount_minor < 0 else 2
    return 3


class _Ledger:
    """The papers' rows as credited so far, what of them counts already, and money that is free again."""

    def __init__(self, papers: Mapping[int, Sequence[TaxRow]]) -> None:
        self.rows = {paper_id: tuple(rows) for paper_id, rows in papers.items()}
        self.paid: dict[int, int] = defaultdict(int)
        self.counted: dict[int, tuple[TaxRow, ...]] = defaultdict(tuple)
        self.freed: dict[int, list[_Freed]] = defaultdict(list)
        self.given_back: dict[int, list[_Freed]] = defaultdict(list)
        self.found: list[Received] = []

    def take(self, steps: Sequence[Step]) -> None:
        """Steps of one moment and one sort."""
        off: dict[int, list[MoneySet]] = defaultdict(list)
        for step in steps:
            if isinstance(step, RowsCredited):
                self.rows[step.paper_id] = tax_sums((*self.rows.get(step.paper_id, ()), *step.rows))
            elif isinstance(step, MoneyBack):
                self._give_back(step)
            elif step.amount_minor > 0:
                self._use(step)
            else:
                off[step.paper_id].append(step)
        for paper_id, own in off.items():
            self._free(paper_id, own)

    def _moved(self, paper_id: int, amount_minor: int) -> tuple[TaxRow, ...]:
        """What counts more of a paper when so much more of it is paid: that of all paid less that of all before, so
        that the last payment takes what rounding left."""
        self.paid[paper_id] += amount_minor
        before, after = self.counted[paper_id], part_of(self.rows.get(paper_id, ()), self.paid[paper_id])
        self.counted[paper_id] = after
        return less(after, before)

    def _free(self, paper_id: int, steps: Sequence[MoneySet]) -> None:
        """Money of one act taken off a paper keeps what it counted there, each payment its part."""
        left = sum(-step.amount_minor for step in steps)
        rows = negated(self._moved(paper_id, -left))
        for step in steps:
            amount = -step.amount_minor
            own = rows if amount == left else part_of(rows, amount)
            rows, left = less(rows, own), left - amount
            self.freed[step.payment_id].append(_Freed(paper_id, amount, own))

    def _use(self, step: MoneySet) -> None:
        """What was freed before counts where it goes on the day it goes there; what is fresh on the day it came."""
        left = step.amount_minor
        for lot in self._taken(self.freed, step.payment_id, left):
            self._count(step, lot.paper_id, step.on, negated(lot.rows))
            self._count(step, step.paper_id, step.on, self._moved(step.paper_id, lot.amount_minor))
            left -= lot.amount_minor
        if left:
            self._count(step, step.paper_id, step.came_on, self._moved(step.paper_id, left))

    def _give_back(self, step: MoneyBack) -> None:
        """What counted for it counts back, and once more where it came again."""
        is_again = step.amount_minor < 0
        source, goal = (self.given_back, self.freed) if is_again else (self.freed, self.given_back)
        for lot in self._taken(source, step.payment_id, abs(step.amount_minor)):
            self._count(step, lot.paper_id, step.on, lot.rows if is_again else negated(lot.rows))
            goal[step.payment_id].append(lot)

    def _count(self, step: MoneySet | MoneyBack, paper_id: int, on: date, rows: tuple[TaxRow, ...]) -> None:
        self.found.append(Received(step.payment_id, paper_id, on, step.at, rows))

    def _taken(self, lots: dict[int, list[_Freed]], payment_id: int, amount_minor: int) -> list[_Freed]:
        """What lies there of a payment, the oldest first, up to an amount; it lies there no more."""
        taken, left, kept = [], amount_minor, []
        for lot in lots[payment_id]:
            part = min(left, lot.amount_minor)
            own = lot.rows if part == lot.amount_minor else part_of(lot.rows, part)
            if part:
                taken.append(replace(lot, amount_minor=part, rows=own))
            if part < lot.amount_minor:
                kept.append(replace(lot, amount_minor=lot.amount_minor - part, rows=less(lot.rows, own)))
            left -= part
        lots[payment_id] = kept
        return taken
