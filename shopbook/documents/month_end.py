"""The month on paper, and as a table for the accountant."""

import csv
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from io import StringIO

from reportlab.platypus import CondPageBreak, Flowable

from shopbook.documents.month.heads import figures_of, heads_of
from shopbook.documents.month.section import Section, SectionRow
from shopbook.documents.month.sentences import Sentence, sentence_text
from shopbook.documents.page import gap, make_file, noted, side_by_side, table, titled, words
from shopbook.trade.measures.locales import ENGLISH, marks_of, read_number

HEADING_AND_A_FEW_ROWS = 110
"""Points of height under which a table begins on the next page."""

MOST_EQUAL = 4
"""So many figures share a width evenly."""
LABEL_LETTERS, FIGURE_LETTERS, PADDING_LETTERS, WORD_LETTERS = 17, 14, 2.6, 1.2
"""The most room of a label and of a figure ("−1,234,567.89"), what a cell leaves empty, and a letter of a head, in
widths of a figure."""

STRONG_ROWS = frozenset({"sales", "gross_profit", "net_profit", "after_pay"})
"""Rows that a reader stops at, whatever their section."""


@dataclass(frozen=True, slots=True)
class MonthPaper:
    """The month as it is printed: its sentences, then its sections; figures as text."""

    shop: str
    month: str
    made: str
    currency: str
    paper_size: str
    sentences: Sequence[Sentence]
    sections: Sequence[Section]
    faults: Sequence[str] = ()
    """A sentence for each identity that does not hold."""
    notes: Sequence[str] = ()
    locale: str = ENGLISH
    """How its figures are written."""

    def section(self, code: str) -> Section | None:
        """One section by its code, where the month has it."""
        return next((section for section in self.sections if section.code == code), None)


def make_month_pdf(paper: MonthPaper) -> bytes:
    """The month end as a PDF."""
    story: list[Flowable] = [
        words(f"Month end {paper.month}", "title"),
        words(f"{paper.shop} · amounts in {paper.currency} · made {paper.made}", "small"),
        gap(),
        *(words(sentence_text(sentence)) for sentence in paper.sentences),
        gap(),
        *_laid_out(paper.sections),
        gap(),
        *(words(note, "small") for note in (*paper.faults, *paper.notes)),
    ]
    return make_file(story, title=f"Month end {paper.month}", shop=paper.shop, paper_size=paper.paper_size)


def _laid_out(sections: Sequence[Section]) -> list[Flowable]:
    """Sections of one or two figures two by two, the others over the whole width, in their order."""
    story: list[Flowable] = []
    waiting: Section | None = None
    for section in sections:
        if figures_of(section) > 1:
            story += _one(section)
        elif waiting is None:
            waiting = section
        else:
            story.append(side_by_side(_block(waiting), _block(section)))
            waiting = None
    return story + ([side_by_side(_block(waiting), [])] if waiting is not None else [])


def _one(section: Section) -> list[Flowable]:
    return [CondPageBreak(HEADING_AND_A_FEW_ROWS), *_block(section)]


def _block(section: Section) -> list[Flowable]:
    """A section with its title, its rows and what is said below them."""
    story: list[Flowable] = [words(_title(section), "heading")]
    rows = [*section.rows, *([section.total] if section.total else [])]
    if not rows:
        return [*story, words(section.note or "None.")]
    figures, heads = figures_of(section), heads_of(section)
    cells = [_cells(row, section.total, is_wide=figures > MOST_EQUAL) for row in rows]
    places = range(1, figures + 1)
    story.append(table(heads, cells, _widths(heads, rows), figures=places, has_total=bool(section.total)))
    return [*story, words(section.note, "small")] if section.note else story


def _title(section: Section) -> str:
    return f"{section.title}, {section.about}" if section.about else section.title


def _cells(row: SectionRow, total: SectionRow | None, *, is_wide: bool) -> list[Flowable | str]:
    """A row of a wide table has smaller figures, so that none is broken over two lines."""
    if row.code in STRONG_ROWS:
        return [titled(row.label, row.below), *(words(figure, "figure_bold") for figure in row.figures)]
    label = noted(row.label, row.below) if row.below else row.label
    if not is_wide:
        return [label, *row.figures]
    kind = "figure_many_bold" if row is total else "figure_many"
    return [label, *(words(figure, kind) for figure in row.figures)]


def _widths(heads: Sequence[str], rows: Sequence[SectionRow]) -> list[str]:
    """Of a few figures equal columns; of more each as wide as its longest figure or word, the label as what is left."""
    figures = len(heads) - 1
    if figures <= MOST_EQUAL:
        each = (0, 34, 25, 19, 17)[figures]
        return [f"{100 - each * figures}%", *[f"{each}%"] * figures]
    longest = [
        min(max(*(len(word) * WORD_LETTERS for word in head.split()), *map(len, column), 2), FIGURE_LETTERS)
        for head, column in _columns(heads, rows)
    ]
    label = max(min(LABEL_LETTERS, len(text)) for row in rows for text in (row.label, row.below))
    room = [letters + PADDING_LETTERS for letters in (label, *longest)]
    return [f"{letters * 100 / sum(room):.2f}%" for letters in room]


def _columns(heads: Sequence[str], rows: Sequence[SectionRow]) -> Iterator[tuple[str, list[str]]]:
    for place, head in enumerate(heads[1:]):
        yield head, [row.figures[place] for row in rows if place < len(row.figures)]


def make_month_csv(paper: MonthPaper) -> str:
    """The month end as comma-separated text: section, code, label, what is said below it, then its figures without a
    separator of thousands or a unit.

    A cell that a spreadsheet would run is kept as text by a leading apostrophe.
    """
    out, safe = StringIO(), partial(safe_cell, locale=paper.locale)
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(["section", "code", "label", "remark", "figure"])
    facts = (("Shop", paper.shop), ("Month", paper.month), ("Currency", paper.currency), ("Made", paper.made))
    writer.writerows(["paper", label.lower(), label, "", safe(said)] for label, said in facts)
    for place, sentence in enumerate(paper.sentences, 1):
        writer.writerow(["sentence", str(place), safe(sentence_text(sentence))])
    for section in paper.sections:
        if section.heads:
            head, *others = map(safe, heads_of(section))
            writer.writerow([section.code, "heads", head, "", *others])
        for row in (*section.rows, *([section.total] if section.total else [])):
            label, *figures = _unit_apart(row)
            writer.writerow([section.code, *map(safe, (row.code, label, row.below)), *map(safe, figures)])
    writer.writerows(["note", str(place), safe(note)] for place, note in enumerate((*paper.faults, *paper.notes), 1))
    return out.getvalue()


def _unit_apart(row: SectionRow) -> tuple[str, ...]:
    """The unit goes to the label of a single figure, so that hours and shares are numbers."""
    figures = row.figures
    unit = next((unit for unit in (" h", " %") if len(figures) == 1 and figures[0].endswith(unit)), "")
    bare = figures[0].removesuffix(unit) if unit else ""
    if unit and not set(bare) & set(" ,"):
        return f"{row.label},{unit}", bare
    return row.label, *figures


_RUN = frozenset("=+-@\t\r\n＝＋－＠")


def safe_cell(text: str, locale: str = ENGLISH) -> str:
    """A cell that no spreadsheet runs: what begins with = + - @, their wide forms, a tab or a new line, and is no
    number, gets an apostrophe (the list of OWASP's page on CSV injection).

    A number of the locale loses its separators of thousands and has a decimal point: else half the spreadsheets of the
    world read it as text.
    """
    plain, marks = text.replace("\u2212", "-"), marks_of(locale)
    if _is_number(plain.removeprefix("-"), locale):
        return plain.replace(marks.group, "").replace(marks.decimal, ".")
    return "'" + plain if plain[:1] in _RUN else plain


def _is_number(text: str, locale: str) -> bool:
    return set(text) <= {*"0123456789", *marks_of(locale)} and read_number(text, locale) is not None
