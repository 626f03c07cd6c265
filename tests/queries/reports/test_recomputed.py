"""Each figure that the book keeps beside its lines, changed by one past the program: found, and named by its row."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from sqlalchemy import BigInteger, Column, Connection, Engine, Integer, Table, select, text, update
from sqlalchemy.orm import Session

from shopbook.config import read_config
from shopbook.models import Base
from shopbook.models.guards import LEDGERS, drop_guards, make_guards, read_guards, wanted_guards
from shopbook.models.seal.hook import UNSEALED
from shopbook.models.session import WRITES, make_engine
from shopbook.queries.reports.proofs import Fault, list_proofs
from tests.bench.books import Size, build_book

SAYS = {
    "quote_group": "quote",
    "quote_line": "quote",
    "stage_panel": "stage",
    "stage_use": "stage",
}
"""Tables whose rows are proved together: the fault names the row that they hang on."""

TYPED = {
    "approval.excess_minor": "said by an insurer; only its seal holds it",
    "approval.repair_total_minor": "said by an insurer; only its seal holds it",
    "approval_reading.pays_minor": "chosen by a person; only its seal holds it",
    "approval_work.amount_thousandths": "planned when it was approved; only its seal holds it",
    "approval_work.cost_minor": "planned when it was approved; only its seal holds it",
    "approval_work.hour_minor": "planned when it was approved; only its seal holds it",
    "approval_work.minutes": "planned when it was approved; only its seal holds it",
    "count_line.book_thousandths": "seen once; only its seal holds it",
    "count_line.seen_thousandths": "seen once; only its seal holds it",
    "delivery.freight_minor": "typed; its share is in each line's cost",
    "fixed_cost.amount_minor": "typed",
    "invoice_approval.amount_minor": "said by a payer; only its seal holds it",
    "coat_wait.not_after_minutes": "a wait of the plan",
    "coat_wait.not_before_minutes": "a wait of the plan",
    "invoice_line.minutes": "the hours that the quote planned for it; only its seal holds it",
    "job_part.cost_minor": "typed from a supplier's invoice",
    "job_part.price_minor": "typed; what was given or billed of it is kept apart",
    "job_payer.amount_minor": "typed: the rule of a share",
    "job_payer.betterment_minor": "typed: the rule of a share",
    "labour_rate.rate_minor": "typed; only its seal holds it",
    "lot.began_thousandths": "what a first count found open; its count line holds it",
    "material.pack_price_minor": "the supplier's price, typed or learned",
    "material.pack_thousandths": "typed: the size of a pack",
    "order_line.pack_price_minor": "the supplier's price of that day",
    "order_line.quantity_thousandths": "what was asked for, in packs of that day",
    "person.weekly_minutes": "typed",
    "person_week.weekly_minutes": "typed; only its seal holds it",
    "person_cost.cost_minor": "typed; what it made of hours is proved with the hours",
    "pot.amount_thousandths": "looked at, at no value",
    "quote_group.list_minor": "the list's figure; only whether the price is that figure counts",
    "stage.flash_minutes": "a wait of the plan",
    "stage_use.guess_cost_minor": "a guess until it is bought",
}
"""Figures that no line of the book stands under, each with the reason."""

ONE_WAY = {"job.last_line_key": -1}
"""A counter that is ahead loses only a key."""


def is_figure(column: Column[Any]) -> bool:
    """Whether a column is a sum, a quantity, minutes or a counter."""
    if column.foreign_keys or column.primary_key or not isinstance(column.type, Integer):
        return False
    name = column.name
    return isinstance(column.type, BigInteger) or name.endswith("minutes") or name in {"last_number", "last_line_key"}


FIGURES = sorted(
    f"{table.name}.{column.name}"
    for table in Base.metadata.sorted_tables
    for column in table.columns
    if is_figure(column)
)
APART = {"allocation.amount_minor", "approval.pays_minor", "delivery_price.cost_minor", "quote.up_to_minor"}
"""What the told book has none of, or what is only found the one way: each has a test of its own below."""
CHANGES = [
    (name, by) for name in FIGURES for by in (1, -1) if name not in {*TYPED, *APART} and ONE_WAY.get(name, by) == by
]


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Engine]:
    """A few weeks of a small shop, told through the services."""
    config = read_config({"SHOPBOOK_DATA": str(tmp_path_factory.mktemp("told"))})
    build_book(config, Size(1, 4))
    engine = make_engine(config.database_url)
    yield engine
    engine.dispose()


@contextmanager
def visited(engine: Engine) -> Iterator[Connection]:
    """Somebody with the file: no guard, reference or check stops them, and what they did is given up again."""
    with engine.connect().execution_options(**{WRITES: True, UNSEALED: True}) as connection:
        for pragma in ("foreign_keys=OFF", "ignore_check_constraints=ON"):
            connection.connection.dbapi_connection.execute(f"PRAGMA {pragma}")  # type: ignore[union-attr]
        with connection.begin() as begun:
            drop_guards(connection)
            yield connection
            begun.rollback()
        connection.invalidate()


def faults(connection: Connection) -> list[Fault]:
    with Session(connection, join_transaction_mode="rollback_only") as session:
        return [fault for proof in list_proofs(session) if proof.code != "guards" for fault in proof.faults]


def rows_that_count(table: Table, column: Column[Any]) -> Any:
    """The newest row whose figure stands under something: of a quote that was given, a plan that has a version."""
    asked = select(*table.primary_key.columns, column).where(column.is_not(None))
    given = Base.metadata.tables["quote"].c
    if table.name == "quote":
        asked = asked.where(given.given_at.is_not(None))
    if table.name in {"quote_group", "quote_line"}:
        groups = Base.metadata.tables["quote_group"].c
        of_given = select(groups.id).join(Base.metadata.tables["quote"], given.id == groups.quote_id)
        own = table.c.id if table.name == "quote_group" else table.c.group_id
        asked = asked.where(own.in_(of_given.where(given.given_at.is_not(None))))
    return asked.order_by(*(key.desc() for key in table.primary_key.columns)).limit(1)


def test_the_book_that_was_told_holds(book: Engine) -> None:
    with visited(book) as connection:
        assert faults(connection) == []


def test_every_figure_is_proved_or_typed() -> None:
    assert set(TYPED) <= set(FIGURES)
    assert {name for name, _ in CHANGES} | set(TYPED) | APART == set(FIGURES)


@pytest.mark.parametrize(("name", "by"), CHANGES)
def test_a_figure_that_is_one_off_is_found_and_named(book: Engine, name: str, by: int) -> None:
    table = Base.metadata.tables[name.partition(".")[0]]
    column = table.c[name.partition(".")[2]]
    with visited(book) as connection:
        row = connection.execute(rows_that_count(table, column)).first()
        assert row is not None, f"the book that was told has no {name}"
        *keys, was = row
        here = [key == value for key, value in zip(table.primary_key.columns, keys, strict=True)]
        connection.execute(update(table).where(*here).values({column.name: was + by}))
        found = faults(connection)
    assert found != []
    # Of a ledger's row the seal says which; here it is found by what it no longer agrees with.
    if table.name not in LEDGERS:
        assert SAYS.get(table.name, table.name) in {fault.table for fault in found}, found
    if table.name not in {*LEDGERS, *SAYS}:
        assert "/".join(map(str, keys)) in {fault.key for fault in found if fault.table == table.name}


@pytest.mark.parametrize(
    ("statement", "table"),
    [
        (
            "UPDATE allocation SET amount_minor = amount_minor + 1 WHERE id = (SELECT max(id) FROM allocation)",
            "invoice",
        ),
        ("UPDATE approval SET pays_minor = amount_minor + 1 WHERE party = 'customer'", "approval"),
        (
            'INSERT INTO delivery_price (delivery_line_id, cost_minor, at, "on") '
            "SELECT id, cost_minor + 1, '2026-11-05 12:00:00.000000', '2026-11-05' FROM delivery_line",
            "delivery_line",
        ),
        ("UPDATE quote SET is_estimate = 1, up_to_minor = 1 WHERE given_at IS NOT NULL", "quote"),
    ],
)
def test_what_the_told_book_has_none_of_is_found_too(book: Engine, statement: str, table: str) -> None:
    with visited(book) as connection:
        connection.execute(text(statement))
        assert table in {fault.table for fault in faults(connection)}


@pytest.mark.parametrize("verb", ["update", "delete"])
@pytest.mark.parametrize("table", LEDGERS)
def test_a_guard_that_is_gone_or_weakened_is_found(empty_book: Engine, table: str, verb: str) -> None:
    name = f"guard_{table}_{verb}"
    weak = f'CREATE TRIGGER {name} BEFORE {verb.upper()} ON "{table}" BEGIN SELECT 1; END'
    with empty_book.connect().execution_options(**{WRITES: True}) as connection, connection.begin() as begun:
        for change in (f"DROP TRIGGER {name}", weak):
            connection.execute(text(change))
            (found,) = guard_faults(connection)
            assert (found.table, found.key) == (table, name)
        begun.rollback()


def guard_faults(connection: Connection) -> list[Fault]:
    with Session(connection, join_transaction_mode="rollback_only") as session:
        return [fault for proof in list_proofs(session) if proof.code == "guards" for fault in proof.faults]


def test_a_foreign_trigger_is_found(empty_book: Engine) -> None:
    with empty_book.connect().execution_options(**{WRITES: True}) as connection, connection.begin() as begun:
        connection.execute(
            text("CREATE TRIGGER tidy AFTER INSERT ON movement BEGIN UPDATE material SET value_minor = 0; END")
        )
        (found,) = guard_faults(connection)
        begun.rollback()
    assert (found.table, found.key) == ("movement", "tidy")


@pytest.mark.postgresql
def test_guards_are_read_word_for_word_on_a_server_too(postgres_url: str) -> None:
    engine = make_engine(postgres_url)
    changes = (
        "ALTER TABLE movement DISABLE TRIGGER guard_movement_update",
        "CREATE OR REPLACE FUNCTION shopbook_append_only() RETURNS trigger LANGUAGE plpgsql "
        "AS $$ BEGIN RETURN NEW; END $$",
    )
    with engine.connect().execution_options(**{WRITES: True}) as connection, connection.begin() as begun:
        assert read_guards(connection) == wanted_guards(connection)
        for change in changes:
            connection.execute(text(change))
            assert read_guards(connection) != wanted_guards(connection)
            make_guards(connection)
            assert read_guards(connection) == wanted_guards(connection)
        begun.rollback()
    engine.dispose()


@pytest.fixture
def empty_book(empty_book_file: Any) -> Iterator[Engine]:
    """A book without a row."""
    engine = make_engine(f"sqlite:///{empty_book_file.as_posix()}")
    yield engine
    engine.dispose()
