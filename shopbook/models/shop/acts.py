"""What was done: keys that make a double press harmless, the log, and counters that never leave a gap."""

from typing import Any

from sqlalchemy import CheckConstraint, Index
from sqlalchemy.orm import Mapped, mapped_column

from shopbook.models.base import Base, Day, JsonObject, JsonText, Key, Kind, Line, Moment, Whole, Words, refers


class ActKey(Base):
    """A key made for one rendered form; the first press claims it and leaves where it led."""

    __tablename__ = "act_key"

    key: Mapped[Line] = mapped_column(primary_key=True)
    act: Mapped[Line]
    person_id: Mapped[int | None] = refers("person.id", index=False)
    claimed_at: Mapped[Moment]
    result: Mapped[JsonObject]
    """The page that the first press led to, what it said, and whether it can be undone."""
    undoes: Mapped[Line | None] = mapped_column(unique=True)
    """The key of the act that this one undid."""


class ActRow(Base):
    """One row that an act wrote, changed or removed, as it was before and after; kept while the act can be undone."""

    __tablename__ = "act_row"

    id: Mapped[Key]
    act_key: Mapped[Line] = refers("act_key.key")
    place: Mapped[Line]
    """The table."""
    row_key: Mapped[Line]
    """Its primary key as JSON."""
    before: Mapped[dict[str, Any] | None] = mapped_column(JsonText(), nullable=False)
    """None (an empty text) for a row that the act added."""
    after: Mapped[dict[str, Any] | None] = mapped_column(JsonText(), nullable=False)
    """None for a row that the act removed."""


class LogLine(Base):
    """One thing that was done, by whom and when; people and customers by id only. Append-only."""

    __tablename__ = "log_line"
    __table_args__ = (
        Index("ix_log_line_job_id_id", "job_id", "id"),
        Index("ix_log_line_on_id", "on", "id"),
        Index("ix_log_line_subject_subject_id", "subject", "subject_id"),
    )

    id: Mapped[Key]
    at: Mapped[Moment]
    on: Mapped[Day]
    person_id: Mapped[int | None] = refers("person.id", index=False)
    act: Mapped[Kind]
    """The service that did it, e.g. agree_quote."""
    subject: Mapped[Kind]
    subject_id: Mapped[Whole | None]
    job_id: Mapped[int | None] = refers("job.id", index=False)
    words: Mapped[Words]
    """A sentence for a person, without names of customers."""


class NumberCounter(Base):
    """The last number given in one series and year; year 0 for a series that never starts anew."""

    __tablename__ = "number_counter"
    __table_args__ = (CheckConstraint("last_number >= 0", name="not_negative"),)

    series: Mapped[Kind] = mapped_column(primary_key=True)
    year: Mapped[Whole] = mapped_column(primary_key=True, default=0)
    last_number: Mapped[Whole] = mapped_column(default=0)
