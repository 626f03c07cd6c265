"""What the shelf's page shows: what needs something, which booked jobs find enough, and the rest by rack."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import groupby

from shopbook.queries.shelf.sheet import ShelfRow, needing_job
from shopbook.trade.stock.reorder import ReorderState

AT_MOST = 5
"""Rows of a list that stand without a fold."""


@dataclass(frozen=True, slots=True)
class JobShelf:
    """One approved job: what it does not find, with the thousandths missing, and what is to be counted first."""

    number: int
    job_id: int
    needed_on: date | None
    short: tuple[tuple[ShelfRow, int], ...]
    doubtful: tuple[ShelfRow, ...]
    names: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Sorted:
    """The sheet's rows, each once: to count before it is trusted, short or to order, enough, never counted."""

    to_count: tuple[ShelfRow, ...]
    to_order: tuple[ShelfRow, ...]
    enough: tuple[ShelfRow, ...]
    uncounted: tuple[ShelfRow, ...]

    @property
    def count_first(self) -> int:
        """How many of those to count stand before the rest: five at most that may be short for an approved job, else
        one."""
        short = sum(row.state is ReorderState.SHORT for row in self.to_count)
        return max(1, min(AT_MOST, short))

    @property
    def racks(self) -> list[tuple[str, list[ShelfRow]]]:
        """What is enough by the place where it stands; what has no place last."""
        by_place = sorted(self.enough, key=lambda row: (not row.material.shelf_place, _place(row)))
        return [(rows[0].material.shelf_place, rows) for _, found in groupby(by_place, _place) if (rows := list(found))]


def _place(row: ShelfRow) -> str:
    return row.material.shelf_place.casefold()


def needs_buying(row: ShelfRow) -> bool:
    """Whether it is short, at its order level, or used up; what was used up and is on its way counts too."""
    return row.state in {ReorderState.SHORT, ReorderState.ORDER_SOON} or row.is_out


def sort_rows(rows: Iterable[ShelfRow]) -> Sorted:
    """Deal the rows out, each once, in the order in which they are given."""
    to_count: list[ShelfRow] = []
    to_order: list[ShelfRow] = []
    enough: list[ShelfRow] = []
    uncounted: list[ShelfRow] = []
    for row in rows:
        if row.wants_count:
            to_count.append(row)
        elif not row.material.is_counted:
            uncounted.append(row)
        else:
            (to_order if needs_buying(row) else enough).append(row)
    return Sorted(tuple(to_count), tuple(to_order), tuple(enough), tuple(uncounted))


def jobs_served(rows: Sequence[ShelfRow]) -> list[JobShelf]:
    """Approved jobs that still need something: short ones first, then those with something to count, each by day."""
    found: dict[int, list[ShelfRow]] = {}
    first: dict[int, tuple[int, date | None]] = {}
    for row in rows:
        for need in row.needs:
            its = found.setdefault(need.job_number, [])
            its += [] if row in its[-1:] else [row]
            job_id, day = first.setdefault(need.job_number, (need.job_id, need.needed_on))
            first[need.job_number] = (job_id, min(filter(None, (day, need.needed_on)), default=None))
    served = [_served(number, *first[number], its) for number, its in found.items()]
    return sorted(served, key=lambda job: (not job.short, not job.doubtful, job.needed_on or date.max, job.number))


def _served(number: int, job_id: int, day: date | None, rows: list[ShelfRow]) -> JobShelf:
    missing = [(row, row.line.short_by_job.get(needing_job(number), 0) if row.line else 0) for row in rows]
    return JobShelf(
        number=number,
        job_id=job_id,
        needed_on=day,
        short=tuple((row, much) for row, much in missing if much and not row.wants_count),
        doubtful=tuple(row for row in rows if row.wants_count),
        names=tuple(row.material.name for row in rows),
    )
