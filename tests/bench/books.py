"""Builds a book of one year or of ten, of the same density, to measure on.

    python -m tests.bench.books one|ten FOLDER [--database URL] [--jobs N]

Four weeks are told through the services. They leave nothing open and nothing on the shelf, so their rows are written
again for all weeks that follow. The last days are told through the services once more, as far as `TODAY`: what is open
then is the same in both books. Nothing depends on the day of the building.
"""

import time
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import click
from sqlalchemy import Engine
from sqlalchemy.orm import Session

from shopbook.commands.check import say_proofs
from shopbook.commands.proving import prove_book
from shopbook.config import Config, read_config
from shopbook.documents.month.kept import kept_paper
from shopbook.models.schema import upgrade_schema
from shopbook.models.session import make_engine, transaction
from shopbook.services.act import Act
from shopbook.services.money.close import close_month
from shopbook.trade.measures.days import month_of, month_shifted
from shopbook.trade.permissions import THE_PROGRAM
from shopbook.web.reports.month_paper import compose_closing
from tests.bench.opening import open_shop
from tests.bench.repeating import Stretch
from tests.bench.shifting import Marks
from tests.bench.shop import JOBS_A_STRETCH, LENGTH
from tests.bench.stretch import tell_stretch

TODAY = datetime(2026, 11, 5, 18, 0, tzinfo=UTC)
"""Eleven in the morning of a Thursday in the shop: what the clock of a book to measure on stands at."""
_LAST_BEGINS = date(2026, 10, 26)
STRETCHES = {"one": 12, "ten": 129}
"""Behind the open days, which bring as many jobs as a stretch."""


@dataclass(frozen=True, slots=True)
class Size:
    """How many stretches lie behind the open days of a book, and how many jobs are in each."""

    stretches: int
    jobs: int = JOBS_A_STRETCH


def build_book(config: Config, size: Size) -> None:
    """Write the book into an empty database."""
    for folder in (config.pictures_folder, config.papers_folder):
        folder.mkdir(parents=True, exist_ok=True)
    upgrade_schema(config.database_url)
    engine = make_engine(config.database_url)
    try:
        with Session(engine, expire_on_commit=False) as session:
            stretch = _tell_first(session, engine, config, size)
        stretch.repeat(engine, size.stretches - 1)
        with Session(engine, expire_on_commit=False) as session:
            _close_months(session)
            tell_stretch(session, config, _LAST_BEGINS, TODAY, size.jobs, size.stretches)
    finally:
        engine.dispose()


def _tell_first(session: Session, engine: Engine, config: Config, size: Size) -> Stretch:
    first = _LAST_BEGINS - size.stretches * LENGTH
    began = datetime(first.year, first.month, first.day, 12, tzinfo=UTC)
    with transaction(session):
        open_shop(session, began, size.jobs)
    before = Marks.read(engine)
    tell_stretch(session, config, first, began + LENGTH, size.jobs, 0)
    return Stretch(engine, before, Marks.read(engine))


def _close_months(session: Session) -> None:
    """The last two months that are over are closed, and all before with them."""
    this, act = month_of(_LAST_BEGINS), Act(session, THE_PROGRAM, TODAY - timedelta(days=20))
    for month in (month_shifted(this, -2), month_shifted(this, -1)):
        with transaction(session):
            paper, numbers = compose_closing(session, month, act.day)
            close_month(act, month, kept_paper(paper), numbers=numbers)


@click.command()
@click.argument("years", type=click.Choice(sorted(STRETCHES)))
@click.argument("folder", type=click.Path(file_okay=False, path_type=Path))
@click.option(
    "--database", default="", help="Address of an empty PostgreSQL database; without it SQLite in the folder."
)
@click.option(
    "--jobs", default=JOBS_A_STRETCH, show_default=True, help="Jobs in four weeks; fewer make a thinner book."
)
def main(years: str, folder: Path, database: str, jobs: int) -> None:
    """Build a book of ONE year or of TEN in an empty FOLDER, and prove it."""
    given = {"SHOPBOOK_DATA": str(folder)} | ({"SHOPBOOK_DATABASE_URL": database} if database else {})
    config, begun = read_config(given), time.perf_counter()
    build_book(config, Size(STRETCHES[years], jobs))
    click.echo(f"built in {time.perf_counter() - begun:.0f} s; its today is {TODAY:%Y-%m-%d %H:%M} UTC")
    engine = make_engine(config.database_url)
    raise SystemExit(0 if say_proofs(prove_book(config, engine)) else 1)


if __name__ == "__main__":
    main()
