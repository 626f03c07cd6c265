"""What a book of the version before keeps: its rule for materials, its mark-ups day by day, and the way back."""

from collections.abc import Iterator

import pytest
from sqlalchemy import Connection, Engine, text

from shopbook.models.schema import downgrade_schema, upgrade_schema
from shopbook.models.session import WRITES, make_engine
from tests.rows import fill_every_table

BEFORE, OWN = "20261126_sign_in", "20261130_paint_materials"


@pytest.fixture
def old(url: str) -> Iterator[Engine]:
    """A filled book as the version before kept it, with two mark-ups on parts and its hour from its first day."""
    engine = make_engine(url)
    with engine.connect().execution_options(**{WRITES: True}) as connection, connection.begin():
        fill_every_table(connection)
    downgrade_schema(url, BEFORE)
    with engine.connect().execution_options(**{WRITES: True}) as connection, connection.begin():
        connection.execute(text("UPDATE material SET role = 'nothing that is planned'"))
        for key, (name, value, day) in enumerate(SET, 2):
            connection.execute(
                text(
                    "INSERT INTO setting (id, name, value, from_on, at) "
                    "SELECT :key, :name, :value, :day, started_at FROM book"
                ),
                {"key": key, "name": name, "value": value, "day": day},
            )
    yield engine
    engine.dispose()


SET = [
    ("parts_markup_permille", "250", "2000-01-01"),
    ("materials_per_paint_hour_minor", "5100", "2000-01-01"),
    ("parts_markup_permille", "300", "2026-06-01"),
]


def held(connection: Connection) -> set[tuple[str, str, str]]:
    rows = connection.execute(text("SELECT name, value, from_on FROM setting WHERE name LIKE 'materials%'"))
    return {(name, value, str(day)) for name, value, day in rows}


def test_the_parts_mark_up_becomes_the_materials_own_from_each_of_its_days(old: Engine, url: str) -> None:
    upgrade_schema(url, OWN)
    with old.connect() as connection:
        assert held(connection) == {
            ("materials_per_paint_hour_minor", "5100", "2000-01-01"),
            ("materials_refinish_hour_minor", "5100", "2000-01-01"),
            ("materials_markup_permille", "250", "2000-01-01"),
            ("materials_markup_permille", "300", "2026-06-01"),
            ("materials_paint_labour_permille", "350", "2000-01-01"),
            ("materials_rule", '"paint_hour"', "2000-01-01"),
            ("materials_rule_dealer", '""', "2000-01-01"),
            ("materials_rule_fleet", '""', "2000-01-01"),
            ("materials_rule_insurer", '"paint_hour"', "2000-01-01"),
        }


def test_a_shelf_that_has_every_price_keeps_its_rule_too(old: Engine, url: str) -> None:
    with old.connect().execution_options(**{WRITES: True}) as connection, connection.begin():
        connection.execute(text("UPDATE stage_use SET role = 'clear', amount_thousandths = 1"))
        connection.execute(text("UPDATE material SET role = 'clear', pack_price_minor = 40000"))
    upgrade_schema(url, OWN)
    with old.connect() as connection:
        assert {
            ("materials_rule", '"shelf"', "2000-01-01"),
            ("materials_rule_insurer", '"shelf"', "2000-01-01"),
        } <= held(connection)


def test_the_way_back_takes_out_what_the_version_before_does_not_know(old: Engine, url: str) -> None:
    upgrade_schema(url, OWN)
    downgrade_schema(url, BEFORE)
    with old.connect() as connection:
        assert held(connection) == {("materials_per_paint_hour_minor", "5100", "2000-01-01")}
        assert connection.scalar(text("SELECT count(*) FROM setting")) == len(SET) + 1


def test_a_book_that_was_not_begun_is_left_empty(url: str) -> None:
    upgrade_schema(url)
    engine = make_engine(url)
    with engine.connect() as connection:
        assert connection.scalar(text("SELECT count(*) FROM setting")) == 0
    engine.dispose()
