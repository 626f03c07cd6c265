"""What was paid in a span of days by means, refunds taken off, and that it is the whole of the payments ledger."""

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class MoneyLine:
    """Lines of the payments ledger added up: one means and one kind, what came in and what went back (below zero)."""

    means: str
    kind: str
    came_minor: int
    back_minor: int


@dataclass(frozen=True, slots=True)
class PaidRow:
    """One means: came in, went back (below zero), and both together."""

    means: str
    came_minor: int
    back_minor: int

    @property
    def total_minor(self) -> int:
        return self.came_minor + self.back_minor


@dataclass(frozen=True, slots=True)
class Paid:
    """The rows in their order; `by_kind` says of which kinds the same total is made up."""

    rows: tuple[PaidRow, ...]
    by_kind: tuple[tuple[str, int], ...]

    @property
    def total(self) -> PaidRow:
        """All means together."""
        return PaidRow("", sum(row.came_minor for row in self.rows), sum(row.back_minor for row in self.rows))


MOVED = "moved"


def sum_paid(lines: Iterable[MoneyLine]) -> Paid:
    """Rows by means, in order of first mention.

    Cash 500.00 and card 960.00 came, 48.00 of the card went back: cash 500.00, card 912.00, total 1,412.00. Money that
    only moved to another customer stands on two lines, out and in, and counts as neither.
    """
    means: dict[str, tuple[int, int]] = {}
    kinds: dict[str, int] = {}
    for line in lines:
        came, back = means.get(line.means, (0, 0))
        moved = -line.back_minor if line.kind == MOVED else 0
        means[line.means] = came + line.came_minor - moved, back + line.back_minor + moved
        kinds[line.kind] = kinds.get(line.kind, 0) + line.came_minor + line.back_minor
    return Paid(tuple(PaidRow(name, *sums) for name, sums in means.items()), tuple(kinds.items()))
