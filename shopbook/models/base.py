"""The declarative base, the naming of constraints and the few column types that all tables share."""

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


class Base(DeclarativeBase):
    """Every table of the book."""

    metadata = MetaData(naming_convention=NAMING)


Key = Annotated[int, mapped_column(Integer, primary_key=True)]
Minor = Annotated[int, mapped_column(BigInteger)]
Thousandths = Annotated[int, mapped_column(BigInteger)]
Whole = Annotated[int, mapped_column(Integer)]
Counted = Annotated[int, mapped_column(Integer, default=0, server_default="0")]
"""A whole number that is nought until somebody says otherwise."""
Moment = Annotated[datetime, mapped_column(UtcMoment())]
Day = Annotated[date, mapped_column(Date)]
Kind = Annotated[str, mapped_column(String(32))]
Line = Annotated[str, mapped_column(String(200))]
Words = Annotated[str, mapped_column(Text)]


def refers(target: str, **options: Any) -> Any:
    """A foreign key to `table.column` by name; never cascades, and is indexed unless told otherwise."""
    return mapped_column(ForeignKey(target), index=options.pop("index", True), **options)
