"""The book's one row, the shop's places and closed days, its edits of the catalogue, and its issued papers."""

from typing import Any

from sqlalchemy import CheckConstraint, Index, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from shopbook.models.base import Base, Day, JsonObject, JsonText, Key, Kind, Line, Moment, Whole, Words, refers


class Book(Base):
    """The answers of the first run, and what is printed on every paper. Exactly one row."""

    __tablename__ = "book"
    __table_args__ = (CheckConstraint("id = 1", name="only_one"),)

    id: Mapped[Key]
    book_key: Mapped[Line]
    """Random; tells one book from another (copies, cookies)."""
    country: Mapped[Kind]
    currency: Mapped[Kind]
    currency_places: Mapped[Whole] = mapped_column(default=2, server_default="2")
    """Decimals of every stored amount, fixed at the start: a later list of currencies never moves what is stored."""
    zone: Mapped[Line]
    shop_name: Mapped[Line]
    address: Mapped[Words] = mapped_column(default="")
    phone: Mapped[Line] = mapped_column(default="")
    mail: Mapped[Line] = mapped_column(default="")
    tax_number: Mapped[Line] = mapped_column(default="")
    registration_number: Mapped[Line] = mapped_column(default="", server_default="")
    """The number under which a state has registered the shop for repairs; printed where there is one."""
    number_prefix: Mapped[Line] = mapped_column(default="", server_default="")
    """Stands before each invoice's number on papers; answered before the first one, and kept for good."""
    pay_to: Mapped[Words] = mapped_column(default="")
    """Account and words printed under an invoice."""
    paper_size: Mapped[Kind]
    units: Mapped[JsonObject]
    """The unit shown for each kind of quantity, e.g. {"length": "in"}."""
    is_demo: Mapped[bool] = mapped_column(default=False)
    is_tax_invoice: Mapped[bool]
    """False where a state wants certified invoices: papers then say that they are not tax invoices."""
    catalogue_version: Mapped[Line]
    """The release of the shipped catalogue that this book was started with or last brought to."""
    started_at: Mapped[Moment]
    revision: Mapped[Whole] = mapped_column(default=1)


class Place(Base):
    """Where a car can stand: a bay, the yard."""

    __tablename__ = "place"

    id: Mapped[Key]
    name: Mapped[Line]
    is_bay: Mapped[bool]
    is_active: Mapped[bool] = mapped_column(default=True)


class ClosedDay(Base):
    """A day on which the shop is closed, besides its weekly hours."""

    __tablename__ = "closed_day"

    closed_on: Mapped[Day]
    id: Mapped[Key]
    why: Mapped[Line] = mapped_column(default="")
    __table_args__ = (UniqueConstraint("closed_on"),)


class CatalogueEntry(Base):
    """What the book keeps of one catalogue entry from a day; the latest line that holds counts. Append-only.

    Without a person it is our figure of before, which an upgrade wrote so that it stays.
    """

    __tablename__ = "catalogue_entry"
    __table_args__ = (UniqueConstraint("kind", "code", "from_on", "id"),)

    id: Mapped[Key]
    kind: Mapped[Kind]
    code: Mapped[Line]
    body: Mapped[dict[str, Any] | None] = mapped_column(JsonText(), nullable=False)
    """The entry's figures and the words that the shop typed; None (an empty text) where the book goes without it."""
    from_on: Mapped[Day]
    at: Mapped[Moment]
    person_id: Mapped[int | None] = refers("person.id")


class DatedPaper(Base):
    """A paper that expires and is renewed: training, mask fit, filters, extinguisher."""

    __tablename__ = "dated_paper"
    __table_args__ = (CheckConstraint("months BETWEEN 1 AND 240", name="months_in_range"),)

    id: Mapped[Key]
    kind: Mapped[Kind]
    whose: Mapped[Line]
    """Whose, or which one."""
    last_on: Mapped[Day]
    months: Mapped[Whole]
    note: Mapped[Line] = mapped_column(default="")
    ended_at: Mapped[Moment | None]
    """When it was removed; a paper that is renewed stays."""


class Paper(Base):
    """One issued paper, kept as a file under its content's hash. Append-only."""

    __tablename__ = "paper"
    __table_args__ = (Index("ix_paper_subject_subject_id", "subject", "subject_id"),)

    id: Mapped[Key]
    kind: Mapped[Kind]
    subject: Mapped[Kind]
    subject_id: Mapped[Whole]
    sha256: Mapped[Line]
    size_bytes: Mapped[Whole]
    file_name: Mapped[Line]
    at: Mapped[Moment]
    on: Mapped[Day]
