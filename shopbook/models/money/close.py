"""Closed months: nothing is dated into them afterwards; the newest is reopened until its return is filed."""

from sqlalchemy import CheckConstraint, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from shopbook.models.base import Base, Day, JsonObject, Key, Kind, Line, Moment, Whole, refers


class MonthClose(Base):
    """One closing of a month with its figures as they stood; closed again, it has a further one. Append-only."""

    __tablename__ = "month_close"
    __table_args__ = (UniqueConstraint("month", "version"),)

    id: Mapped[Key]
    month: Mapped[Kind]
    """ "2026-10" """
    version: Mapped[Whole] = mapped_column(default=1, server_default="1")
    through_on: Mapped[Day]
    figures: Mapped[JsonObject]
    """The month's sums in words, as its paper says them."""
    numbers: Mapped[JsonObject] = mapped_column(server_default="")
    """Its whole numbers by name (`trade/results/kept_month.py`); none on a closing from before they were kept."""
    sha256: Mapped[Line] = mapped_column(default="", server_default="")
    """Of its paper; empty on a closing from before it was kept here."""
    seal_number: Mapped[Whole | None]
    """The newest link of the seal when the month was closed; None before there was one, as on older closings."""
    seal_sha256: Mapped[Line | None]
    """That link's digest: whoever cuts off the end of the seal must have this row agree."""
    at: Mapped[Moment]
    person_id: Mapped[int | None] = refers("person.id", index=False)
    paper_id: Mapped[int | None] = refers("paper.id", index=False)


class MonthReopening(Base):
    """A closing that was taken back, and why: its month is open until it is closed again. Append-only, one row each."""

    __tablename__ = "month_reopening"
    __table_args__ = (UniqueConstraint("close_id"), CheckConstraint("reason <> ''", name="has_reason"))

    id: Mapped[Key]
    close_id: Mapped[int] = refers("month_close.id", index=False)
    reason: Mapped[Line]
    at: Mapped[Moment]
    on: Mapped[Day]
    person_id: Mapped[int | None] = refers("person.id", index=False)


class TaxReturn(Base):
    """The return of a month was filed: the month stays closed. Append-only, one row a month."""

    __tablename__ = "tax_return"
    __table_args__ = (UniqueConstraint("month"),)

    id: Mapped[Key]
    month: Mapped[Kind]
    at: Mapped[Moment]
    on: Mapped[Day]
    person_id: Mapped[int | None] = refers("person.id", index=False)
