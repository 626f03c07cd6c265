"""The declarative base, the naming of constraints and the few column types that all tables share."""

import json
from collections.abc import Callable
from datetime import UTC, date, datetime
from typing import Annotated, Any

from sqlalchemy import BigInteger, Date, DateTime, Dialect, ForeignKey, Integer, MetaData, String, Text
from sqlalchemy.orm import DeclarativeBase, mapped_column
from sqlalchemy.types import TypeDecorator

NAMING = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_name)s_%(referred_table_name)s",
    "pk": "pk_%(table_name)s",
}


class UtcMoment(TypeDecorator[datetime]):
    """A moment kept in UTC: refuses naive ones and gives back aware ones (SQLite forgets the zone)."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError("a moment without a zone cannot be kept")
        return value.astimezone(UTC)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


class JsonText(TypeDecorator[Any]):
    """Plain values kept as JSON in a text column: the same bytes on both databases, so that a row can be proved later.

    Keys keep their order and letters stay letters. Nothing (an empty text) reads as what `empty` makes, None without
    it. A kept value is never changed in place: the change would not be seen. Put a new one in its place.
    """

    impl = Text
    cache_ok = True

    def __init__(self, empty: Callable[[], Any] | None = None) -> None:
        super().__init__()
        self.empty = empty

    def process_bind_param(self, value: Any, dialect: Dialect) -> str:
        return "" if value is None else json.dumps(value, ensure_ascii=False)

    def process_result_value(self, value: str | None, dialect: Dialect) -> Any:
        if value:
            return json.loads(value)
        return self.empty() if self.empty else None


class Base(DeclarativeBase):
    """Every table of the book. A new row says its columns' defaults at once, not only when it is written."""

    metadata = MetaData(naming_convention=NAMING)

    def __init__(self, **given: Any) -> None:
        plain = {column.key: _default_of(column.default) for column in self.__table__.columns if column.default}
        self.registry.constructor(self, **(plain | given))


def _default_of(default: Any) -> Any:
    # What the library keeps of a default takes the context of a statement, which `dict` and `list` pass over.
    return default.arg(None) if default.is_callable else default.arg


Key = Annotated[int, mapped_column(Integer, primary_key=True)]
Minor = Annotated[int, mapped_column(BigInteger)]
Thousandths = Annotated[int, mapped_column(BigInteger)]
Whole = Annotated[int, mapped_column(Integer)]
Counted = Annotated[int, mapped_column(Integer, default=0, server_default="0")]
"""A whole number that is zero until somebody says otherwise."""
Moment = Annotated[datetime, mapped_column(UtcMoment())]
Day = Annotated[date, mapped_column(Date)]
Kind = Annotated[str, mapped_column(String(32))]
Line = Annotated[str, mapped_column(String(200))]
Words = Annotated[str, mapped_column(Text)]
JsonObject = Annotated[dict[str, Any], mapped_column(JsonText(dict), default=dict)]
JsonList = Annotated[list[Any], mapped_column(JsonText(list), default=list)]


def refers(target: str, **options: Any) -> Any:
    """A foreign key to `table.column` by name; never cascades, and is indexed unless told otherwise."""
    return mapped_column(ForeignKey(target), index=options.pop("index", True), **options)
