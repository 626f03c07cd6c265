"""Tax of any span of days in rows: sales taxed by rate, not taxed by kind, and what came late of closed months."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from itertools import filterfalse

from shopbook.trade.results.month import TaxRow, tax_sums
from shopbook.trade.results.tax_basis import TaxBasis, TaxEvent


@dataclass(frozen=True, slots=True)
class LateTax:
    """What one paper counts that belongs to a day in a closed month."""

    kind: str
    number: int
    on: date
    basis_minor: int
    tax_minor: int


@dataclass(frozen=True, slots=True)
class SpanTax:
    """The tax of a span: rows with a rate, rows without by kind of line, and papers whose own day was closed.

    `bases` are those that held in the span, in order; empty until the shop said what it told its tax office, and then
    the figures are by invoice date.
    """

    first: date
    last: date
    bases: tuple[TaxBasis, ...]
    taxed: tuple[TaxRow, ...]
    untaxed: tuple[TaxRow, ...]
    late: tuple[LateTax, ...]
    is_answered: bool = True
    held_minor: int = 0
    """Money held on the last day that is on no invoice yet: it counts once an invoice says at which rates."""

    @property
    def basis_minor(self) -> int:
        """Sales before tax."""
        return sum(row.basis_minor for row in self.taxed + self.untaxed) + sum(row.basis_minor for row in self.late)

    @property
    def tax_minor(self) -> int:
        return sum(row.tax_minor for row in self.taxed) + sum(row.tax_minor for row in self.late)


def sum_tax(
    events: Iterable[TaxEvent],
    first: date,
    last: date,
    bases: tuple[TaxBasis, ...] = (),
    *,
    is_answered: bool = True,
    held_minor: int = 0,
) -> SpanTax:
    """The events that count from `first` to `last`, both included, in rows."""
    inside = [event for event in events if first <= event.counts_on <= last]
    rows = _rows(event for event in inside if not event.is_late)
    return SpanTax(
        first=first,
        last=last,
        bases=bases,
        taxed=tuple(filter(_is_taxed, rows)),
        untaxed=tuple(filterfalse(_is_taxed, rows)),
        late=_late(event for event in inside if event.is_late),
        is_answered=is_answered,
        held_minor=held_minor,
    )


def _rows(events: Iterable[TaxEvent]) -> list[TaxRow]:
    """By kind of tax, rate and kind of line; zeros left out."""
    rows = tax_sums(row for event in events for row in event.rows)
    kept = [row for row in rows if row.basis_minor or row.tax_minor]
    return sorted(kept, key=lambda row: (row.code, row.rate_thousandths, row.line_kind))


def _is_taxed(row: TaxRow) -> bool:
    return bool(row.rate_thousandths or row.tax_minor)


def _late(events: Iterable[TaxEvent]) -> tuple[LateTax, ...]:
    """One row a paper and day, zeros left out."""
    sums: dict[tuple[date, str, int], tuple[int, int]] = {}
    for event in events:
        key = (event.on, event.kind, event.number)
        basis, tax = sums.get(key, (0, 0))
        more = sum(row.basis_minor for row in event.rows), sum(row.tax_minor for row in event.rows)
        sums[key] = basis + more[0], tax + more[1]
    return tuple(
        LateTax(kind, number, on, basis, tax)
        for (on, kind, number), (basis, tax) in sorted(sums.items())
        if basis or tax
    )
