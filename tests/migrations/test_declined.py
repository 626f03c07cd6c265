"""A stage that the customer declined still counts as taken out by the draft, not by hand, in a book from before."""

from sqlalchemy import text

from shopbook.models.schema import downgrade_schema, upgrade_schema
from shopbook.models.session import WRITES, make_engine
from shopbook.services.jobs.drafting import LEFT
from tests.rows import fill_every_table

BEFORE, OWN = "20261130_customer", "20261130_declined"


def test_a_declined_stage_of_an_old_book_is_told_in_the_words_of_today_and_back(url: str) -> None:
    engine = make_engine(url)
    with engine.connect().execution_options(**{WRITES: True}) as connection, connection.begin():
        fill_every_table(connection)
    downgrade_schema(url, BEFORE)
    with engine.connect().execution_options(**{WRITES: True}) as connection, connection.begin():
        connection.execute(text("UPDATE stage SET struck_why = 'left by the owner'"))
    for revision, words in ((OWN, LEFT), (BEFORE, "left by the owner")):
        (upgrade_schema if revision == OWN else downgrade_schema)(url, revision)
        with engine.connect() as connection:
            assert set(connection.execute(text("SELECT struck_why FROM stage")).scalars()) == {words}
    engine.dispose()
