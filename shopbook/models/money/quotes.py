"""Quotes by version: groups by panel with priced lines. Edited until given, then only a new version follows."""

from sqlalchemy import CheckConstraint, Index, UniqueConstraint
from sqlalchemy.orm import Mapped, relationship

from shopbook.models.base import Base, Day, Key, Kind, Line, Minor, Moment, Whole, Words, refers


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
    is_estimate: Mapped[bool]
    up_to_minor: Mapped[Minor | None]
    """With tax: the sum that an estimate will not pass without a new yes."""
    has_tax_inside: Mapped[bool]
    """The prices typed in hold the tax."""
    discount_minor: Mapped[Minor]
    discount_why: Mapped[Line]
    deposit_minor: Mapped[Minor]
    not_included: Mapped[Words]
    words: Mapped[Words]
    made_at: Mapped[Moment]
    made_on: Mapped[Day]
    given_at: Mapped[Moment | None]
    given_on: Mapped[Day | None]
    valid_until_on: Mapped[Day | None]
    asked_payer_at: Mapped[Moment | None]
    asked_owner_at: Mapped[Moment | None]
    answered_at: Mapped[Moment | None]
    replaced_at: Mapped[Moment | None]
    paper_id: Mapped[int | None] = refers("paper.id", index=False)
    revision: Mapped[Whole]

    groups: Mapped[list["QuoteGroup"]] = relationship(lazy="raise", order_by="QuoteGroup.position", viewonly=True)


class QuoteGroup(Base):
    """One part of a quote that is taken or left; two ways of doing it share `choice`."""

    __tablename__ = "quote_group"

    id: Mapped[Key]
    quote_id: Mapped[int] = refers("quote.id")
    position: Mapped[Whole]
    key: Mapped[Line]
    """The panel, or "car"; ties stages and parts to the group."""
    choice: Mapped[Kind]
    """Groups with the same word exclude one another; empty for a group that stands alone."""
    title: Mapped[Line]
    below: Mapped[Words]
    """What is done, in words for the customer."""
    price_minor: Mapped[Minor | None]
    """A price set by hand (kerb, fixed); None: the sum of the lines."""
    working_days_tenths: Mapped[Whole | None]

    lines: Mapped[list["QuoteLine"]] = relationship(lazy="raise", order_by="QuoteLine.id", viewonly=True)


class QuoteLine(Base):
    """One priced line of a group, in minor units as typed (with or without tax as the quote says)."""

    __tablename__ = "quote_line"

    id: Mapped[Key]
    group_id: Mapped[int] = refers("quote_group.id")
    kind: Mapped[Kind]
    """labour, materials, part, colour, sublet, fee."""
    skill: Mapped[Kind]
    words: Mapped[Line]
    minutes: Mapped[Whole]
    rate_minor: Mapped[Minor]
    amount_minor: Mapped[Minor]
    tax_code: Mapped[Kind]
    job_part_id: Mapped[int | None] = refers("job_part.id")
    is_touched: Mapped[bool]
