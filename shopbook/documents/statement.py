"""The statement of a payer's account on paper: what to pay now first, then every line, what is open, and how to pay."""

from dataclasses import dataclass

from reportlab.platypus import Flowable, KeepTogether

from shopbook.documents.head import Head, draw_head, finish
from shopbook.documents.page import gap, side_by_side, table, titled, words


@dataclass(frozen=True, slots=True)
class AccountLine:
    """One line of the account: day, what it was, what stands below it, and its figures; `url` leads to it on screen."""

    day: str
    what: str
    below: str
    charge: str
    payment: str
    balance: str
    url: str = ""


@dataclass(frozen=True, slots=True)
class OpenLine:
    """One invoice that is still to pay, or unused credit (no due day)."""

    what: str
    below: str
    due: str
    late: str
    owed: str
    url: str = ""


@dataclass(frozen=True, slots=True)
class StatementPaper:
    """Everything on a statement, in finished words; amounts of the big figures with the currency's sign."""

    head: Head
    sign: str
    balance: tuple[str, str]
    pay_now: tuple[str, str, str]
    """Its words, its figure, and how it comes about."""
    lines: tuple[AccountLine, ...]
    lines_last: AccountLine
    open_lines: tuple[OpenLine, ...]
    open_last: OpenLine
    ages: tuple[tuple[str, str], ...]
    notes: tuple[str, ...]
    pay_to: str


def make_statement_file(paper: StatementPaper) -> bytes:
    """The PDF; the same data gives the same bytes."""
    story = [*draw_head(paper.head), gap(), _sums(paper), gap(), *_lines(paper), *_open(paper)]
    for note in paper.notes:
        story += [gap(), words(note, "small")]
    if paper.pay_to:
        story.append(KeepTogether([words("How to pay", "heading"), words(paper.pay_to)]))
    return finish(story, paper)


def _sums(paper: StatementPaper) -> Flowable:
    balance, (pay, figure, why) = paper.balance, paper.pay_now
    left = [words(balance[0], "small"), words(balance[1], "title")]
    return side_by_side(left, [words(pay, "small"), words(figure, "title"), words(why, "small")])


def _lines(paper: StatementPaper) -> list[Flowable]:
    rows: list[list[Flowable | str]] = [
        [line.day, titled(line.what, line.below), line.charge, line.payment, line.balance] for line in paper.lines
    ]
    last = paper.lines_last
    rows.append([last.day, last.what, last.charge, last.payment, last.balance])
    heads = ["Day", "What", "Charge", "Payment", f"Balance, {paper.sign.strip()}"]
    widths: list[float | str | None] = ["15%", None, "15%", "15%", "18%"]
    return [words("Account", "heading"), table(heads, rows, widths, figures=(2, 3, 4), has_total=True)]


def _open(paper: StatementPaper) -> list[Flowable]:
    last, ages = paper.open_last, paper.ages
    rows: list[list[Flowable | str]] = [
        [titled(line.what, line.below), titled(line.due, line.late) if line.late else line.due, line.owed]
        for line in paper.open_lines
    ]
    rows.append([last.what, "", last.owed])
    heads = ("Invoice", "Due", f"Open, {paper.sign.strip()}")
    made: list[Flowable] = [
        words("Open invoices", "heading"),
        table(heads, rows, [None, "28%", "22%"], figures=(2,), has_total=True),
    ]
    if ages:
        share = f"{100 / len(ages):.2f}%"
        spread = table([word for word, _ in ages], [[sum_ for _, sum_ in ages]], [share] * len(ages))
        made.append(KeepTogether([words("By days late", "heading"), spread]))
    return made
