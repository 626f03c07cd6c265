"""An old book goes on with the prices that it was started with, though our own guesses changed."""

from datetime import date
from pathlib import Path

from sqlalchemy.orm import Session

from shopbook.models.schema import downgrade_schema, upgrade_schema
from shopbook.models.session import make_engine
from shopbook.queries.jobs.catalogue import catalogue_on
from shopbook.trade.catalogue.reading import own_catalogue
from tests.migrations.old_books import old_book

DAY = date(2026, 11, 30)


def sills(url: str) -> list[tuple[int, ...]]:
    engine = make_engine(url)
    try:
        with Session(engine) as session:
            prices = catalogue_on(session, DAY).prices
            return [prices[code].small for code in ("left_sill", "right_sill", "bonnet")]
    finally:
        engine.dispose()


def test_an_old_books_list_is_what_it_was_and_ours_is_lower_without_paint(tmp_path: Path) -> None:
    url = old_book(tmp_path)
    upgrade_schema(url)
    assert sills(url) == [(92, 92, 92), (92, 92, 92), (22, 103, 164)]
    assert own_catalogue().prices["left_sill"].small == (84, 92, 92)
    downgrade_schema(url, "20261130_paint_materials")
    assert sills(url)[0] == (84, 92, 92)
    upgrade_schema(url)
    assert sills(url)[0] == (92, 92, 92)
