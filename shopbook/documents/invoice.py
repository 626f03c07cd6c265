"""Invoices, deposit invoices and credit notes on paper: who, which car, what was done, tax, sum, who pays what."""

from dataclasses import dataclass

from reportlab.platypus import Flowable, KeepTogether

from shopbook.documents.head import Head, draw_head, finish
from shopbook.documents.page import caution, gap, side_by_side, table, titled, words


@dataclass(frozen=True, slots=True)
class DoneRow:
    """One item of the work with what is below its title; amounts are finished words."""

    title: str
    below: str
    labour: str
    other: str
    net: str


@dataclass(frozen=True, slots=True)
class PayerRow:
    """One payer: the share, what was paid of it when the paper was made, and what was still to pay."""

    name: str
    remark: str
    share: str
    paid: str
    owed: str


@dataclass(frozen=True, slots=True)
class InvoicePaper:
    """Everything on an invoice, in finished words."""

    head: Head
    mark: str
    reason: str
    sign: str
    labour_word: str
    heading: str
    rows: tuple[DoneRow, ...]
    rows_last: DoneRow
    not_done: tuple[str, ...]
    tax_word: str
    tax_rows: tuple[tuple[str, str, str], ...]
    tax_last: tuple[str, str, str]
    sums: tuple[tuple[str, str], ...]
    sums_last: tuple[str, str]
    payers: tuple[PayerRow, ...]
    payers_last: PayerRow
    notes: tuple[str, ...]
    care: str
    closing: tuple[str, ...]

    @property
    def net_word(self) -> str:
        """What the column of amounts is called: a shop without tax has nothing "before tax"."""
        return f"{'Before tax' if self.tax_rows else 'Amount'}, {self.sign.strip()}"

    @property
    def has_labour(self) -> bool:
        """Whether labour and the rest have columns of their own."""
        return any(row.labour for row in self.rows)


def make_invoice_file(paper: InvoicePaper) -> bytes:
    """The PDF; the same data gives the same bytes."""
    return finish([*_head(paper), *_done(paper), *_money(paper), *_foot(paper)], paper)


def _head(paper: InvoicePaper) -> list[Flowable]:
    head = draw_head(paper.head)
    if paper.mark:
        head.insert(0, caution(paper.mark))
    if paper.reason:
        head.append(words(paper.reason))
    return head


def _done(paper: InvoicePaper) -> list[Flowable]:
    rows: list[list[Flowable | str]] = [[titled(row.title, row.below), *_figures(paper, row)] for row in paper.rows]
    rows.append([paper.rows_last.title, *_figures(paper, paper.rows_last)])
    last = paper.net_word
    heads = ["Work", paper.labour_word, "Materials, parts", last] if paper.has_labour else ["Work", last]
    widths: list[float | str | None] = [None, "15%", "19%", "18%"] if paper.has_labour else [None, "20%"]
    made: list[Flowable] = [
        words(paper.heading, "heading"),
        table(heads, rows, widths, figures=range(1, len(heads)), has_total=True),
    ]
    if paper.not_done:
        lines = [words(line) for line in paper.not_done]
        made.append(KeepTogether([words("Seen, not repaired at your request", "heading"), *lines]))
    return [*made, gap(4)]


def _figures(paper: InvoicePaper, row: DoneRow) -> list[Flowable | str]:
    return [row.labour, row.other, row.net] if paper.has_labour else [row.net]


def _money(paper: InvoicePaper) -> list[Flowable]:
    tax = table(
        ("Rate", "Before tax", paper.tax_word),
        [*paper.tax_rows, paper.tax_last],
        ["50%", "25%", "25%"],
        figures=(1, 2),
        has_total=True,
    )
    sums = table(
        ("Amount", paper.sign.strip()), [*paper.sums, paper.sums_last], ["65%", "35%"], figures=(1,), has_total=True
    )
    last = paper.payers_last
    rows: list[list[Flowable | str]] = [
        [titled(row.name, row.remark), row.share, row.paid, row.owed] for row in paper.payers
    ]
    payers = [
        words("Who pays what", "heading"),
        table(
            ("Payer", "Share", "Paid", "Still to pay"),
            [*rows, [last.name, last.share, last.paid, last.owed]],
            [None, "17%", "17%", "19%"],
            figures=(1, 2, 3),
            has_total=True,
        ),
    ]
    return [
        KeepTogether([side_by_side([tax] if paper.tax_rows else [], [sums], "56%")]),
        *([KeepTogether(payers)] if paper.payers else []),
    ]


def _foot(paper: InvoicePaper) -> list[Flowable]:
    foot: list[Flowable] = [gap(), *(words(note, "small") for note in paper.notes)]
    if paper.care:
        foot.append(KeepTogether([words("Care of fresh paint", "heading"), words(paper.care)]))
    return foot + [words(line, "small") for line in paper.closing]
