"""Names of an old book that differ only in the case of letters are told apart; the rest stay as they were."""

from collections.abc import Iterator

import pytest
from sqlalchemy import Engine, text

from shopbook.models.schema import downgrade_schema, upgrade_schema
from shopbook.models.session import WRITES, make_engine
from tests.rows import MOMENT, fill_every_table

BEFORE, OWN = "20261130_approved_work", "20261130_door"
NAMES = {2: "Sam", 3: "sam", 4: "SAM 2", 5: "Dana", 6: "José", 7: "Jose", 8: "SAM"}


@pytest.fixture
def old(url: str) -> Iterator[Engine]:
    """A filled book as the version before kept it, with four people of one name in other letters."""
    engine = make_engine(url)
    with engine.connect().execution_options(**{WRITES: True}) as connection, connection.begin():
        fill_every_table(connection)
    downgrade_schema(url, BEFORE)
    with engine.connect().execution_options(**{WRITES: True}) as connection, connection.begin():
        for key, name in NAMES.items():
            connection.execute(
                text(
                    "INSERT INTO person (id, name, is_active, weekly_minutes, created_at, revision)"
                    " VALUES (:id, :name, :yes, 2400, :at, 1)"
                ),
                {"id": key, "name": name, "yes": True, "at": MOMENT.isoformat(sep=" ")},
            )
    yield engine
    engine.dispose()


def test_the_later_of_two_alike_names_gets_a_number_and_remembers_the_old_one(old: Engine, url: str) -> None:
    upgrade_schema(url, OWN)
    with old.connect() as connection:
        rows = connection.execute(text("SELECT id, name, folded_name, name_before FROM person WHERE id > 1")).all()
        assert connection.scalar(text("SELECT count(*) FROM pin_trial")) == 0
    assert {(key, name, folded): before for key, name, folded, before in rows} == {
        (2, "Sam", "sam"): None,
        (3, "sam 3", "sam 3"): "sam",
        (4, "SAM 2", "sam 2"): None,
        (5, "Dana", "dana"): None,
        (6, "José", "josé"): None,
        (7, "Jose", "jose"): None,
        (8, "SAM 4", "sam 4"): "SAM",
    }


def test_the_way_back_leaves_the_names_and_takes_the_columns(old: Engine, url: str) -> None:
    upgrade_schema(url, OWN)
    downgrade_schema(url, BEFORE)
    with old.connect() as connection:
        row = connection.execute(text("SELECT * FROM person WHERE id = 3")).mappings().one()
    assert row["name"] == "sam 3"
    assert not {"folded_name", "name_before"} & set(row)
