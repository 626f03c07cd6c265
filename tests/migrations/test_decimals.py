"""A book keeps the decimals of its money: those that the program had for it before the upgrade, whatever CLDR has."""

import pytest
from sqlalchemy import Engine, inspect
from sqlalchemy.orm import Session

from shopbook.models.schema import downgrade_schema, upgrade_schema
from shopbook.models.session import WRITES, make_engine
from shopbook.queries.shop.book import country_of, get_book
from shopbook.trade.measures.currencies import currency_places
from tests.makers import make_book

BEFORE = "20261130_whose_sum"


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
    assert "currency_places" not in columns(engine)
    engine.dispose()
    upgrade_schema(url)
    with Session(engine) as session:
        assert country_of(get_book(session)).currency_places == places
    engine.dispose()
    assert currency_places("LBP") == 0


def columns(engine: Engine) -> set[str]:
    return {column["name"] for column in inspect(engine).get_columns("book")}
