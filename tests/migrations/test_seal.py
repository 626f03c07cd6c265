"""An old book is sealed at its upgrade, and goes back to the tables of before and forth again with what it holds."""

from sqlalchemy import Engine, text
from sqlalchemy.orm import Session

from shopbook.models.schema import downgrade_schema, upgrade_schema
from shopbook.models.seal.hook import UPGRADED
from shopbook.models.session import WRITES, make_engine
from shopbook.queries.reports.sealing.proofs import list_seal_proofs
from tests.rows import fill_every_table

BEFORE, OWN = "20261130_papers", "20261130_seal"


def proved(engine: Engine) -> int:
    """How many rows the seal covers; it holds."""
    with Session(engine) as session:
        found = list_seal_proofs(session, ())
    assert [fault for proof in found for fault in proof.faults] == []
    return found[1].count


def run(engine: Engine, *statements: str) -> None:
    with engine.connect().execution_options(**{WRITES: True}) as connection, connection.begin():
        for statement in statements:
            connection.execute(text(statement))


def test_an_old_book_is_sealed_over_all_its_rows_and_says_from_when(url: str) -> None:
    engine = make_engine(url)
    with engine.connect().execution_options(**{WRITES: True}) as connection, connection.begin():
        fill_every_table(connection)
    sealed = proved(engine)
    downgrade_schema(url, BEFORE)
    upgrade_schema(url)
    # The corrected price of the one delivery stands in its own row since it went back.
    assert proved(engine) == sealed - 1
    with engine.connect() as connection:
        assert set(connection.execute(text("SELECT note FROM seal")).scalars()) == {UPGRADED}
    # Nothing new, nothing sealed: the links stay as they are.
    upgrade_schema(url)
    assert proved(engine) == sealed - 1
    engine.dispose()


def test_what_was_changed_in_place_before_is_a_line_of_its_own_and_back_again(url: str) -> None:
    """A removed photo, a corrected price and the cost of a day, down to where they were overwritten, and up."""
    engine = make_engine(url)
    with engine.connect().execution_options(**{WRITES: True}) as connection, connection.begin():
        fill_every_table(connection)
    downgrade_schema(url, BEFORE)
    with engine.connect() as connection:
        assert connection.execute(text("SELECT struck_at IS NOT NULL FROM picture")).scalar()
    run(
        engine,
        "UPDATE picture SET struck_at = NULL",
        "UPDATE delivery_line SET cost_minor = 1234",
        "UPDATE person_cost SET cost_minor = 77",
    )
    upgrade_schema(url)
    with engine.connect() as connection:
        assert connection.execute(text("SELECT count(*) FROM picture_strike")).scalar() == 0
        assert connection.execute(text("SELECT cost_minor FROM delivery_line")).scalar() == 1234
    run(
        engine,
        "INSERT INTO person_cost (id, person_id, cost_minor, from_on) SELECT 2, 1, 88, from_on FROM person_cost",
        'INSERT INTO delivery_price (id, delivery_line_id, cost_minor, at, "on") '
        'SELECT 1, 1, 1300, at, "on" FROM delivery',
        'INSERT INTO picture_strike (id, picture_id, is_struck, at, "on", person_id) '
        'SELECT 1, 1, true, at, "on", 1 FROM delivery',
    )
    downgrade_schema(url, BEFORE)
    with engine.connect() as connection:
        assert connection.execute(text("SELECT cost_minor FROM person_cost")).scalars().all() == [88]
        assert connection.execute(text("SELECT cost_minor FROM delivery_line")).scalar() == 1300
        assert connection.execute(text("SELECT struck_at IS NOT NULL FROM picture")).scalar()
    upgrade_schema(url, OWN)
    with engine.connect() as connection:
        kept = connection.execute(text("SELECT is_struck, picture_id, person_id FROM picture_strike")).all()
        assert [tuple(row) for row in kept] == [(1, 1, None)]
    engine.dispose()
