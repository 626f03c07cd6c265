"""One row in every table of the book, with values that a wrong column type would lose; together a sound book."""

from collections.abc import Iterable
from datetime import UTC, date, datetime, timedelta, timezone
from typing import Any

from sqlalchemy import (
    BigInteger,
    Boolean,
    Column,
    Connection,
    Date,
    Integer,
    PrimaryKeyConstraint,
    Table,
    UniqueConstraint,
    insert,
)

from shopbook.models import Base
from shopbook.models.base import UtcMoment
from shopbook.trade.catalogue.releases import own_release

BEYOND_INTEGER = 3_000_000_001
"""More than 2**31: what PostgreSQL's integer cannot hold."""

MOMENT = datetime(2026, 3, 8, 1, 59, 59, 123456, tzinfo=timezone(timedelta(hours=-5)))
HASH_OF_NOTHING = "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"
WORDS = "Zoë & <b>日本</b> Ł"

_GIVEN: dict[tuple[str, str], Any] = {
    ("person_role", "role"): "owner",
    ("material", "way"): "measured",
    ("approval", "party"): "customer",
    ("invoice", "kind"): "invoice",
    ("invoice_approval", "kind"): "price",
    ("invoice", "gross_minor"): 2 * BEYOND_INTEGER,
    ("quote", "kind"): "quote",
    ("gauge_reading", "film_um"): 120,
    ("tax_rate", "rate_thousandths"): 8000,
    ("tax_rate", "kinds_with_goods"): ["labour"],
    ("setting", "name"): "lunch",
    ("setting", "value"): ["12:00", "12:30"],
    ("book", "zone"): "America/New_York",
    ("book", "country"): "us",
    ("book", "currency"): "USD",
    ("book", "currency_places"): 2,
    ("book", "catalogue_version"): own_release(),
    ("clock_entry", "reverses_id"): None,
    ("clock_entry", "minutes"): 60,
    ("clock_entry", "stopped_at"): MOMENT + timedelta(hours=1),
    ("clock_share", "minutes"): 60,
    ("mix", "left_thousandths"): 0,
    ("mix_part", "material_id"): None,
    ("movement", "mix_id"): None,
    ("quote", "given_at"): None,
    ("job", "settled_at"): None,
    ("invoice", "frozen"): {"shop": WORDS},
    ("invoice_tax", "rate_thousandths"): 100_000,
    ("receipt", "content"): {"head": WORDS},
    ("movement", "kind"): "received",
    ("invoice_payer", "share_minor"): 2 * BEYOND_INTEGER,
    ("picture", "sha256"): HASH_OF_NOTHING,
    ("picture", "thumbnail_sha256"): HASH_OF_NOTHING,
    ("paper", "sha256"): HASH_OF_NOTHING,
    ("paper", "subject"): "month_close",
    ("paper", "size_bytes"): 0,
    ("month_close", "month"): "2026-02",
    ("month_close", "through_on"): date(2026, 2, 28),
    ("month_close", "numbers"): {},
    ("month_close", "sha256"): HASH_OF_NOTHING,
    ("month_close", "seal_number"): None,
    ("month_close", "seal_sha256"): None,
    ("dated_paper", "kind"): "extinguisher",
    ("dated_paper", "months"): 12,
    ("act_key", "result"): {"url": "/", "said": ""},
    ("act_row", "act_key"): WORDS,
    ("fixed_cost", "per"): "quarter",
    ("colour_card", "verdict"): "blend",
    ("person_week", "weekdays"): [0, 1, 4],
}


def fill_every_table(connection: Connection) -> int:
    """Insert one row a table, keys in order; answers how many. The connection's transaction must be a write.

    The one row of the seal is written when that commits.
    """
    for table in Base.metadata.sorted_tables:
        if table.name == "seal":
            continue
        connection.execute(insert(table), {column.name: value_for(table, column) for column in table.columns})
    return len(Base.metadata.sorted_tables)


def fill_further(connection: Connection, number: int) -> None:
    """Insert one more row a table (the book has one): what must be unique is told apart by `number`, references too."""
    for table in Base.metadata.sorted_tables:
        if table.name not in {"seal", "book"}:
            connection.execute(insert(table), further_row(table, number))


def further_row(table: Table, number: int) -> dict[str, Any]:
    """The row of that number; the first is the one of `fill_every_table`."""
    return {column.name: _further(table, column, number) for column in table.columns}


def _further(table: Table, column: Column[Any], number: int) -> Any:
    value = value_for(table, column)
    if column.foreign_keys and value == 1:
        return number
    if isinstance(value, datetime):
        return value + timedelta(microseconds=number)
    sets = [index.columns for index in table.indexes if index.unique]
    sets += [each.columns for each in table.constraints if isinstance(each, PrimaryKeyConstraint | UniqueConstraint)]
    # One column of what is unique together is enough to tell rows apart: its number, else its words.
    is_told = any(column.name in each and not _has_reference(each) for each in sets)
    if not is_told or value is None:
        return value
    if isinstance(column.type, Integer):
        return number
    return value + timedelta(days=number) if isinstance(value, date) else f"{value}{number}"


def _has_reference(columns: Iterable[Column[Any]]) -> bool:
    return any(column.foreign_keys for column in columns)


def value_for(table: Table, column: Column[Any]) -> Any:
    """The value that a column of the one row holds."""
    if (table.name, column.name) in _GIVEN:
        return _GIVEN[table.name, column.name]
    if column.foreign_keys:
        refers_to = next(iter(column.foreign_keys)).column.table
        return None if refers_to is table else 1
    if isinstance(column.type, BigInteger):
        return BEYOND_INTEGER
    if isinstance(column.type, Boolean):
        return True
    if isinstance(column.type, Integer):
        return 1
    if isinstance(column.type, UtcMoment):
        return MOMENT
    return date(2026, 3, 8) if isinstance(column.type, Date) else WORDS


def as_kept(value: Any) -> Any:
    """A value as it must come back."""
    return value.astimezone(UTC) if isinstance(value, datetime) else value
