"""Hours sold: the planned man-hours of the approved items on invoices, or the hours billed where billed by hours."""

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, datetime


@dataclass(frozen=True, slots=True)
class SoldLine:
    """A line on a paper, negative on a credit note; `minutes` None where the paper kept none."""

    item: int
    net_minor: int
    minutes: int | None = None


@dataclass(frozen=True, slots=True)
class SoldPaper:
    """An invoice of a job, or a credit note, with the lines that stand in items."""

    on: date
    at: datetime
    is_credit: bool
    lines: tuple[SoldLine, ...]


@dataclass(frozen=True, slots=True)
class SoldItem:
    """An approved item: the man-minutes planned when it was approved, and whether it is billed by the hours it took."""

    planned_minutes: int
    is_by_hours: bool = False


def hours_sold(
    papers: Iterable[SoldPaper], item_at: Callable[[int, datetime], SoldItem | None]
) -> list[tuple[date, int]]:
    """(day, man-minutes) of each paper of one job, in the order of their issue; never worked out from money.

    An item's planned hours are sold by the first invoice that bills it, whatever that invoice bills of it; they go back
    with the credit note that leaves nothing of it billed. An item billed by hours is sold by the hours that each
    invoice charges. `item_at` answers what was approved of an item at a moment; None: nothing.

    A door of 6.0 planned hours at a typed 500.00 and 2.5 hours of an estimate billed as 1.8: 7.8 on the day of their
    invoice. Of 100.00 credited two days later: none. The whole invoice credited in December: −7.8 in December.
    """
    billed: dict[int, int] = defaultdict(int)
    sold: dict[int, int] = {}
    found = []
    for paper in papers:
        change = 0
        for item, lines in _by_item(paper).items():
            billed[item] += sum(line.net_minor for line in lines)
            if not paper.is_credit:
                more = _sold_by(lines, item_at(item, paper.at), is_first=item not in sold)
                sold[item] = sold.get(item, 0) + more
                change += more
            elif not billed[item]:
                change -= sold.pop(item, 0)
        found.append((paper.on, change))
    return found


def _by_item(paper: SoldPaper) -> dict[int, list[SoldLine]]:
    found: dict[int, list[SoldLine]] = defaultdict(list)
    for line in paper.lines:
        found[line.item].append(line)
    return found


def _sold_by(lines: Iterable[SoldLine], item: SoldItem | None, *, is_first: bool) -> int:
    """What one invoice sells of an item; hours billed where the item is billed by hours and the paper kept them."""
    if item is None:
        return 0
    kept = [line.minutes for line in lines if line.minutes is not None]
    if item.is_by_hours and kept:
        return sum(kept)
    return item.planned_minutes if is_first else 0
