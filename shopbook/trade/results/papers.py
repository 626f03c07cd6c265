"""Papers of a job as sums are made from them: what was billed by kind and item, and what still stands on a day."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from shopbook.trade.billing import LineKind
from shopbook.trade.results.hours_sold import SoldLine, SoldPaper


@dataclass(frozen=True, slots=True)
class BilledLine:
    """A line of a paper, negative on a credit note; `item` and `minutes` are None where the paper kept none."""

    kind: LineKind
    net_minor: int
    item: int | None = None
    minutes: int | None = None


@dataclass(frozen=True, slots=True)
class BilledPaper:
    """An invoice, deposit invoice, fee or credit note of one job, with its lines."""

    paper_id: int
    job_id: int
    kind: str
    issued_on: date
    issued_at: datetime
    gross_minor: int
    credits_id: int | None = None
    corrects_id: int | None = None
    lines: tuple[BilledLine, ...] = ()

    @property
    def is_first(self) -> bool:
        """Whether it is an invoice that stands in no other one's place."""
        return self.kind == "invoice" and self.corrects_id is None


def net_by_kind(papers: Iterable[BilledPaper], first: date, last: date) -> dict[LineKind, int]:
    """What these papers of the days from `first` to `last` come to without tax, by kind of line."""
    found: dict[LineKind, int] = {}
    for paper in papers:
        if first <= paper.issued_on <= last:
            for line in paper.lines:
                found[line.kind] = found.get(line.kind, 0) + line.net_minor
    return found


def gross_of(papers: Iterable[BilledPaper], first: date, last: date) -> int:
    """What these papers of the days from `first` to `last` come to with tax."""
    return sum(paper.gross_minor for paper in papers if first <= paper.issued_on <= last)


def invoiced_on(papers: Iterable[BilledPaper], last: date) -> tuple[date, ...]:
    """The days of a job's invoices up to a day, in order; no deposit invoice, fee, credit note or corrected invoice."""
    return tuple(sorted(paper.issued_on for paper in papers if paper.is_first and paper.issued_on <= last))


def has_invoice(papers: Iterable[BilledPaper], first: date, last: date) -> bool:
    """Whether an invoice (no deposit) was issued from `first` to `last`."""
    return any(paper.kind == "invoice" and first <= paper.issued_on <= last for paper in papers)


def is_invoiced_by(papers: Iterable[BilledPaper], last: date) -> bool:
    """Whether an invoice (no deposit) stands at the end of a day that no credit notes had taken back whole by then.

    803.00 invoiced on Nov 3 and credited whole on Nov 9: invoiced on Nov 8, not on Nov 9.
    """
    by_then = [paper for paper in papers if paper.issued_on <= last]
    back: dict[int, int] = {}
    for paper in by_then:
        if paper.credits_id is not None:
            back[paper.credits_id] = back.get(paper.credits_id, 0) + paper.gross_minor
    return any(
        paper.kind == "invoice" and (paper.paper_id not in back or paper.gross_minor + back[paper.paper_id])
        for paper in by_then
    )


def billed_by_item(papers: Iterable[BilledPaper], last: date) -> tuple[int, dict[int, int]]:
    """What the papers up to a day come to without tax, fees left out: in all, and by item that is billed something."""
    net_minor, items = 0, dict[int, int]()
    for paper in papers:
        for line in paper.lines if paper.kind != "fee" and paper.issued_on <= last else ():
            net_minor += line.net_minor
            if line.item is not None:
                items[line.item] = items.get(line.item, 0) + line.net_minor
    return net_minor, {item: net for item, net in items.items() if net}


def as_sold(papers: Iterable[BilledPaper], last: date) -> list[SoldPaper]:
    """Invoices and credit notes up to a day with the lines that stand in items, for the hours that they sold."""
    return [
        SoldPaper(
            paper.issued_on,
            paper.issued_at,
            paper.kind == "credit",
            tuple(SoldLine(line.item, line.net_minor, line.minutes) for line in paper.lines if line.item is not None),
        )
        for paper in papers
        if paper.kind in {"invoice", "credit"} and paper.issued_on <= last
    ]
