"""A book keeps the decimals of its money: those that the program had for it before the upgrade, whatever CLDR has."""

from pathlib import Path

import pytest
from sqlalchemy import inspect
from sqlalchemy.orm import Session

from shopbook.models.schema import downgrade_schema, upgrade_schema
from shopbook.models.session import WRITES, make_engine
from shopbook.queries.shop.book import country_of, get_book
from shopbook.trade.measures.currencies import currency_places
from tests.makers import make_book

BEFORE = "20261130_whose_sum"


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgresql)])
def url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """A book at the newest migration, with nothing in it."""
    made = (
        str(request.getfixturevalue("empty_postgres_url"))
        if request.param == "postgresql"
        else f"sqlite:///{(tmp_path / 'old.sqlite3').as_posix()}"
    )
    upgrade_schema(made)
    return made


@pytest.mark.parametrize(("currency", "places"), [("USD", 2), ("HUF", 0), ("ISK", 0), ("KWD", 3), ("LBP", 2)])
def test_an_old_book_keeps_the_decimals_that_its_money_was_stored_with(url: str, currency: str, places: int) -> None:
    """Pounds of Lebanon were stored with two decimals until now, and CLDR 48 has none."""
    engine = make_engine(url)
    with Session(engine.connect().execution_options(**{WRITES: True})) as session:
        make_book(session, currency=currency)
        session.commit()
        session.connection().close()
    engine.dispose()
    downgrade_schema(url, BEFORE)
    assert "currency_places" not in {column["name"] for column in inspect(make_engine(url)).get_columns("book")}
    upgrade_schema(url)
    with Session(make_engine(url)) as session:
        assert country_of(get_book(session)).currency_places == places
    assert currency_places("LBP") == 0
