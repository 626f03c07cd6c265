"""On which day a sale counts for tax: by supply, by invoice or by money received, and never in a month that is closed.

Sources, read 2026-11-30. By supply in the United Kingdom: VAT Act 1994 s. 6(3) services are supplied when they are
performed, (4) a payment or an invoice before that counts on its own day as far as it goes, (5) an invoice issued
within 14 days after moves the rest to its day (legislation.gov.uk). By money received: VAT Regulations 1995 reg. 57,
the day on which payment is received, and HMRC Notice 731, part payments split fairly over the rates of their invoice.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from enum import StrEnum

from shopbook.trade.measures.amounts import share_out
from shopbook.trade.results.month import TaxRow, tax_sums


class TaxBasis(StrEnum):
    """What the shop told its tax office."""

    SUPPLY = "supply"
    INVOICE = "invoice"
    RECEIVED = "received"


BASIS_WORDS: dict[str, str] = {
    TaxBasis.SUPPLY: "by date of supply",
    TaxBasis.INVOICE: "by invoice date",
    TaxBasis.RECEIVED: "by money received",
}


@dataclass(frozen=True, slots=True)
class BasisLine:
    """The basis from a day, and when it was set."""

    basis: TaxBasis
    from_on: date
    at: datetime


@dataclass(frozen=True, slots=True)
class ClosedSpan:
    """One closing: when, up to which day, and when it was taken back."""

    at: datetime
    through_on: date
    reopened_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class TaxPoint:
    """A country's rule by supply: within how many days an invoice moves the tax, and whether money before the work was
    done counts on its own day."""

    invoice_days: int = 0
    counts_prepaid: bool = False


@dataclass(frozen=True, slots=True)
class TaxPaper:
    """An issued paper as tax sees it; a credit note's rows are below zero.

    `prepaid` is money that was set against it as it was issued, each with the day it came.
    """

    kind: str
    number: int
    issued_on: date
    issued_at: datetime
    supply_on: date
    rows: tuple[TaxRow, ...]
    is_correction: bool = False
    prepaid: tuple[tuple[date, int], ...] = ()


@dataclass(frozen=True, slots=True)
class TaxEvent:
    """Sales and tax of a paper, or of a part of it: the day they belong to, and the day they count on."""

    kind: str
    number: int
    on: date
    counts_on: date
    rows: tuple[TaxRow, ...]

    @property
    def is_late(self) -> bool:
        """Whether its own day lay in a closed month when it was written."""
        return self.counts_on != self.on


def basis_on(lines: Sequence[BasisLine], day: date) -> BasisLine | None:
    """What holds on a day, the later of two lines from one day; None until the shop said it."""
    held = [line for line in lines if line.from_on <= day]
    return max(held, key=lambda line: (line.from_on, line.at)) if held else None


def closed_through_at(closings: Iterable[ClosedSpan], moment: datetime) -> date | None:
    """The last day that was closed at a moment; with every closing taken back the day before the first closed month."""
    known = [row for row in closings if row.at <= moment]
    standing = [row.through_on for row in known if row.reopened_at is None or row.reopened_at > moment]
    if standing:
        return max(standing)
    first = min((row.through_on for row in known), default=None)
    return first.replace(day=1) - timedelta(days=1) if first else None


def counts_on(day: date, known_at: datetime, closings: Iterable[ClosedSpan]) -> date:
    """The day on which something counts that belongs to `day` and was written at a moment.

    A closed month never changes: what belongs into one counts on the first day of the first month open by then.
    October closed on Nov 5; work done Oct 28, invoiced Nov 20, counts on Nov 1.
    """
    through = closed_through_at(closings, known_at)
    return day if through is None or day > through else through + timedelta(days=1)


def tax_day(issued_on: date, done_on: date, invoice_days: int) -> date:
    """The day of an invoice by supply: that of the work, or the invoice's within so many days after it.

    Done Nov 28, 14 days: an invoice of Dec 3 counts on Dec 3, one of Dec 20 on Nov 28, one of Nov 25 on Nov 25.
    """
    return issued_on if (issued_on - done_on).days <= invoice_days else done_on


def part_of(rows: Sequence[TaxRow], amount_minor: int) -> tuple[TaxRow, ...]:
    """So much money (with tax) split over the rates of these rows, exact to the unit; nothing where they come to zero.

    Of 800.00 + 160.00: 300.00 is 250.00 + 50.00.
    """
    weights = [figure for row in rows for figure in (row.basis_minor, row.tax_minor)]
    if sum(weights) == 0:
        return ()
    figures = iter(share_out(amount_minor, weights))
    return tuple(replace(row, basis_minor=next(figures), tax_minor=next(figures)) for row in rows)


def negated(rows: Iterable[TaxRow]) -> tuple[TaxRow, ...]:
    """The same rows taken back."""
    return tuple(replace(row, basis_minor=-row.basis_minor, tax_minor=-row.tax_minor) for row in rows)


def less(rows: Sequence[TaxRow], taken: Sequence[TaxRow]) -> tuple[TaxRow, ...]:
    """What of `rows` is left without `taken`; rows of zero stay away."""
    left = tax_sums((*rows, *negated(taken)))
    return tuple(row for row in left if row.basis_minor or row.tax_minor)


def paper_events(
    paper: TaxPaper, line: BasisLine | None, point: TaxPoint, closings: Sequence[ClosedSpan]
) -> list[TaxEvent]:
    """What a paper counts by supply or by invoice; by money received a paper by itself counts nothing.

    Money that came before the day of the rest counts on its own day: 300.00 on Nov 20 for work done Nov 28 and invoiced
    Dec 3 counts on Nov 20. Credit notes, fees and corrected invoices count on the day they are issued.
    """
    basis = line.basis if line else TaxBasis.INVOICE
    if basis is TaxBasis.RECEIVED:
        return []
    known_at = max(paper.issued_at, line.at) if line else paper.issued_at
    days = [(paper.issued_on, paper.rows)] if basis is TaxBasis.INVOICE else _by_supply(paper, point)
    return [
        TaxEvent(paper.kind, paper.number, day, counts_on(day, known_at, closings), rows) for day, rows in days if rows
    ]


def _by_supply(paper: TaxPaper, point: TaxPoint) -> list[tuple[date, tuple[TaxRow, ...]]]:
    is_own = paper.kind == "invoice" and not paper.is_correction
    day = tax_day(paper.issued_on, paper.supply_on, point.invoice_days) if is_own else paper.issued_on
    found: list[tuple[date, tuple[TaxRow, ...]]] = []
    rest = paper.rows
    for came_on, amount in paper.prepaid if point.counts_prepaid and not paper.is_correction else ():
        if came_on < day:
            part = part_of(rest, amount)
            found.append((came_on, part))
            rest = less(rest, part)
    return [*found, (day, rest)]
