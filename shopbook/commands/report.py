"""`shopbook report month-end`: a month's figures as paper and as a table, without a browser."""

from pathlib import Path

import click
from sqlalchemy.orm import Session

from shopbook.commands.book import Refused, ask, now, open_book
from shopbook.config import Config, read_config
from shopbook.documents.faces import keep_made_fonts_in
from shopbook.documents.month.heads import heads_of
from shopbook.documents.month.section import Section, SectionRow
from shopbook.documents.month.sentences import sentence_text
from shopbook.documents.month_end import MonthPaper, make_month_csv, make_month_pdf
from shopbook.outside.files import read_kept, writing_whole
from shopbook.queries.money.closings import find_standing_closing
from shopbook.queries.shop.days import day_of
from shopbook.trade.measures.days import parse_month
from shopbook.web.reports.month_paper import compose_month_paper

_LABEL, _FIGURE = 44, 14


@click.group()
def report() -> None:
    """Reports from the command line."""


@report.command("month-end")
@click.argument("month")
@click.option("--pdf", type=click.Path(dir_okay=False, path_type=Path), help="Write the PDF here.")
@click.option("--csv", type=click.Path(dir_okay=False, path_type=Path), help="Write the CSV here.")
def month_end(month: str, pdf: Path | None, csv: Path | None) -> None:
    """The figures of a MONTH such as 2026-10. Prints them; writes files if you ask for them.

    A closed month is printed as it was closed.
    """
    wanted = parse_month(month)
    for path in (pdf, csv):
        if path is not None and not path.resolve().parent.is_dir():
            raise Refused(f"There is no folder {path.resolve().parent}. Create it first, or choose another file.")
    config = read_config()
    keep_made_fonts_in(config.fonts_folder)
    with open_book(config) as engine:
        paper, sha256 = ask(engine, lambda session: _paper(session, wanted))
    _print(paper)
    if pdf is not None:
        _write(pdf, _kept_bytes(config, sha256) or make_month_pdf(paper))
    if csv is not None:
        _write(csv, make_month_csv(paper).encode())


def _paper(session: Session, month: str) -> tuple[MonthPaper, str]:
    """The month, and of a closed one the hash of the paper that was kept."""
    closing = find_standing_closing(session, month)
    return compose_month_paper(session, month, day_of(session, now())), closing.sha256 if closing else ""


def _kept_bytes(config: Config, sha256: str) -> bytes:
    return read_kept(config.papers_folder, sha256) if sha256 else b""


def _print(paper: MonthPaper) -> None:
    for sentence in paper.sentences:
        click.echo(sentence_text(sentence))
    for section in paper.sections:
        click.echo(f"\n{_title(section)}")
        rows = (*section.rows, *([section.total] if section.total else []))
        for line in [each for row in rows for each in _lines(row)] or ["  None."]:
            click.echo(line)
        if section.note:
            click.echo(f"  {section.note}")


def _title(section: Section) -> str:
    heads = "".join(f"{head:>{_FIGURE}}" for head in heads_of(section)[1:])
    return f"{section.title:<{_LABEL}}{heads}".rstrip()


def _lines(row: SectionRow) -> list[str]:
    """What is said below a row stands on its line where it fits, else below it."""
    figures = "".join(f"{figure:>{_FIGURE}}" for figure in row.figures)
    whole = f"  {row.label}, {row.below}" if row.below else f"  {row.label}"
    if len(whole) < _LABEL:
        return [f"{whole:<{_LABEL}}{figures}".rstrip()]
    return [f"  {row.label:<{_LABEL - 2}}{figures}".rstrip(), *([f"    {row.below}"] if row.below else [])]


def _write(path: Path, body: bytes) -> None:
    with writing_whole(path) as out:
        out.write(body)
    click.echo(f"Written: {path}")
