"""`shopbook report month-end`: a month's figures as paper and as a table, without a browser."""

from pathlib import Path

import click

from shopbook.commands.book import Refused, ask, now, open_book
from shopbook.config import read_config
from shopbook.documents.faces import keep_made_fonts_in
from shopbook.documents.month_end import make_month_csv, make_month_pdf
from shopbook.outside.files import writing_whole
from shopbook.queries.shop.days import day_of
from shopbook.trade.measures.days import parse_month
from shopbook.web.reports.month_paper import compose_month_paper


@click.group()
def report() -> None:
    """Reports from the command line."""


@report.command("month-end")
@click.argument("month")
@click.option("--pdf", type=click.Path(dir_okay=False, path_type=Path), help="Write the PDF here.")
@click.option("--csv", type=click.Path(dir_okay=False, path_type=Path), help="Write the CSV here.")
def month_end(month: str, pdf: Path | None, csv: Path | None) -> None:
    """The figures of a MONTH such as 2026-10. Prints the summary; writes files if you ask for them."""
    wanted = parse_month(month)
    for path in (pdf, csv):
        if path is not None and not path.resolve().parent.is_dir():
            raise Refused(f"There is no folder {path.resolve().parent}. Create it first, or choose another file.")
    config = read_config()
    keep_made_fonts_in(config.fonts_folder)
    with open_book(config) as engine:
        paper = ask(engine, lambda session: compose_month_paper(session, wanted, day_of(session, now())))
    for label, figure in paper.summary:
        click.echo(f"{label:<24}{figure:>16}")
    if pdf is not None:
        _write(pdf, make_month_pdf(paper))
    if csv is not None:
        _write(csv, make_month_csv(paper).encode())


def _write(path: Path, body: bytes) -> None:
    with writing_whole(path) as out:
        out.write(body)
    click.echo(f"Written: {path}")
