"""Quotes by version: groups by panel with priced lines. Edited until given, then only a new version follows."""

from typing import Any

from sqlalchemy import CheckConstraint, Column, Index, Integer, MetaData, Table, UniqueConstraint, false, select
from sqlalchemy.orm import Mapped, column_property, mapped_column, relationship
from sqlalchemy.sql import ColumnElement

from shopbook.models.base import Base, Counted, Day, JsonText, Key, Kind, Line, Minor, Moment, Whole, Words, refers
from shopbook.models.customers import whole_of

_job = Table("job", MetaData(), Column("id", Integer), Column("customer_id", Integer)).alias("job_of_quote")
_customer = Table("customer", MetaData(), Column("id", Integer), Column("exemption", JsonText(dict))).alias(
    "whose_quote"
)


def _exemption_of(job_id: Any) -> ColumnElement[Any]:
    """What is kept of the certificate of a job's customer; of a merged one the first's."""
    found = select(_customer.c.exemption).where(_job.c.id == job_id, _customer.c.id == whole_of(_job.c.customer_id))
    # All but its own two tables belong to the statement around it, or every quote would get the first one's.
    return found.correlate_except(_customer, _job).scalar_subquery()


class Quote(Base):
    """One version of a quote, or one extra found later."""

    __tablename__ = "quote"
    __table_args__ = (
        UniqueConstraint("job_id", "version"),
        CheckConstraint("kind IN ('kerb', 'quote', 'extra')", name="known_kind"),
        CheckConstraint("discount_minor >= 0", name="discount_not_negative"),
        Index("ix_quote_given_on", "given_on"),
    )

    id: Mapped[Key]
    job_id: Mapped[int] = refers("job.id", index=False)
    version: Mapped[Whole]
    kind: Mapped[Kind]
    plan_version: Mapped[Whole | None]
    is_estimate: Mapped[bool] = mapped_column(default=False)
    up_to_minor: Mapped[Minor | None]
    """With tax: the sum that an estimate will not pass without a new approval."""
    has_tax_inside: Mapped[bool]
    """The prices typed in hold the tax."""
    discount_minor: Mapped[Minor] = mapped_column(default=0)
    discount_why: Mapped[Line] = mapped_column(default="")
    deposit_minor: Mapped[Minor] = mapped_column(default=0)
    not_included: Mapped[Words] = mapped_column(default="")
    words: Mapped[Words] = mapped_column(default="")
    made_at: Mapped[Moment]
    made_on: Mapped[Day]
    given_at: Mapped[Moment | None]
    given_on: Mapped[Day | None]
    valid_until_on: Mapped[Day | None]
    asked_payer_at: Mapped[Moment | None]
    payer_declined_at: Mapped[Moment | None]
    """Of an extra: since when its payer will not pay for it; empty once it was asked again or approved after all."""
    payer_declined_why: Mapped[Line] = mapped_column(default="", server_default="")
    asked_customer_at: Mapped[Moment | None]
    answered_at: Mapped[Moment | None]
    replaced_at: Mapped[Moment | None]
    paper_id: Mapped[int | None] = refers("paper.id", index=False)
    revision: Mapped[Whole] = mapped_column(default=1)
    first_key: Mapped[Counted]
    """First of the keys that the quote drew for its discount and for hours beyond the estimate."""
    saving_rate_minor: Mapped[Minor] = mapped_column(default=0, server_default="0")
    """What a paint hour was sold for when the quote was written; zero: more panels save nothing."""
    saving_touching_permille: Mapped[Counted]
    saving_apart_permille: Mapped[Counted]

    promise_on: Mapped[Day | None]
    """Of an extra: the day for collection that is said with it, in place of the job's."""

    exemption: Mapped[dict[str, Any]] = column_property(_exemption_of(job_id))
    """The certificate of the job's customer as it is kept now; read with the quote, so no page asks for it again."""

    groups: Mapped[list["QuoteGroup"]] = relationship(lazy="raise", order_by="QuoteGroup.position", viewonly=True)
    given_row: Mapped["GivenQuote | None"] = relationship(lazy="raise", viewonly=True)


class GivenQuote(Base):
    """A quote as it was given: its figures and every word of its paper. Append-only, one row a quote."""

    __tablename__ = "given_quote"
    __table_args__ = (UniqueConstraint("quote_id"),)

    id: Mapped[Key]
    quote_id: Mapped[int] = refers("quote.id", index=False)
    at: Mapped[Moment]
    on: Mapped[Day]
    content: Mapped[Words]
    """JSON in a numbered form, see `trade/pricing/given.py`."""
    sha256: Mapped[Line]
    """Of the paper that was handed over with it; empty where it was said by word of mouth."""
    is_reconstructed: Mapped[bool] = mapped_column(default=False, server_default=false())
    """Written by an upgrade from the lines and the rates of its day: its words are not known."""


class QuoteGroup(Base):
    """One part of a quote that is taken or left; two ways of doing it share `choice`."""

    __tablename__ = "quote_group"

    id: Mapped[Key]
    quote_id: Mapped[int] = refers("quote.id")
    position: Mapped[Whole]
    key: Mapped[Line]
    """The panel, or "car"; ties stages and parts to the group."""
    choice: Mapped[Kind] = mapped_column(default="")
    """Groups with the same word exclude one another; empty for a group that stands alone."""
    title: Mapped[Line]
    below: Mapped[Words] = mapped_column(default="")
    """What is done, in words for the customer."""
    price_minor: Mapped[Minor | None]
    """A price set by hand (kerb, fixed); None: the sum of the lines."""
    working_days_tenths: Mapped[Whole | None]
    first_key: Mapped[Counted]
    """First of the keys that the item drew: its own, and what it saves beside another."""
    paint_minutes: Mapped[Counted]
    """Paint work planned for this panel alone; zero where it is not painted."""
    touches: Mapped[Line] = mapped_column(default="", server_default="")
    """The panels that it touches, with commas between."""
    list_minor: Mapped[Minor | None]
    """The list's figure for it; an item whose price is that figure may save beside another."""
    panel_place: Mapped[Counted]

    lines: Mapped[list["QuoteLine"]] = relationship(lazy="raise", order_by="QuoteLine.id", viewonly=True)


class QuoteLine(Base):
    """One priced line of a group, in minor units as typed (with or without tax as the quote says)."""

    __tablename__ = "quote_line"

    id: Mapped[Key]
    group_id: Mapped[int] = refers("quote_group.id")
    kind: Mapped[Kind]
    """labour, materials, part, colour, sublet, fee."""
    skill: Mapped[Kind] = mapped_column(default="")
    words: Mapped[Line]
    minutes: Mapped[Whole] = mapped_column(default=0)
    rate_minor: Mapped[Minor] = mapped_column(default=0)
    amount_minor: Mapped[Minor]
    tax_code: Mapped[Kind]
    job_part_id: Mapped[int | None] = refers("job_part.id")
    line_key: Mapped[Counted]
    """Drawn from the job's counter when the line was first written; the line's own in every version and invoice."""
    is_touched: Mapped[bool] = mapped_column(default=False)
