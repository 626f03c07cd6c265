"""`shopbook report accountant`: flat tables of any days for the accountant and payroll, without a browser."""

from collections.abc import Iterable
from datetime import date
from pathlib import Path

import click
from sqlalchemy.orm import Session

from shopbook.commands.book import Refused, ask, open_book
from shopbook.config import read_config
from shopbook.outside.files import writing_whole
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.measures.days import DateForm, parse_day
from shopbook.web.reports.accountant_files import check_span, flat_files, flat_zip


@click.command("accountant")
@click.argument("first")
@click.argument("last")
@click.option("--folder", type=click.Path(file_okay=False, path_type=Path), help="Write one CSV a table here.")
@click.option("--zip", "packed", type=click.Path(dir_okay=False, path_type=Path), help="Write all of them as one zip.")
def accountant(first: str, last: str, folder: Path | None, packed: Path | None) -> None:
    """Flat tables from FIRST to LAST, such as 2026-11-01 2026-11-30, both included. They show what people are paid."""
    days = parse_day(first, DateForm.YEAR_FIRST), parse_day(last, DateForm.YEAR_FIRST)
    check_span(*days)
    if folder is None and packed is None:
        raise Refused("Choose where they go: --folder FOLDER for one CSV a table, or --zip FILE for all in one.")
    for path in (folder, packed and packed.parent):
        if path is not None and not path.is_dir():
            raise Refused(f"There is no folder {path.resolve()}. Create it first, or choose another one.")
    with open_book(read_config()) as engine:
        ask(engine, lambda session: _write_all(session, *days, folder, packed))


def _write_all(session: Session, first: date, last: date, folder: Path | None, packed: Path | None) -> None:
    """The files in the folder and the zip, from one snapshot."""
    shop = ShopOn(session, last)
    for name, body in flat_files(shop, first, sees_pay=True) if folder is not None else ():
        _write((folder or Path()) / name, body)
    if packed is not None:
        _write(packed, flat_zip(shop, first, sees_pay=True)[1])


def _write(path: Path, body: Iterable[bytes]) -> None:
    with writing_whole(path) as out:
        for part in body:
            out.write(part)
    click.echo(f"Written: {path}")
