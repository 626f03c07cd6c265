"""What the shop charges, how it wants things done, and what it pays every month; each figure applies from a day."""

from typing import Any

from sqlalchemy import CheckConstraint, Index
from sqlalchemy.orm import Mapped, mapped_column

from shopbook.models.base import Base, Day, JsonList, JsonText, Key, Kind, Line, Minor, Moment, Whole, refers


class Setting(Base):
    """One setting's value from a day on; the latest line that holds counts. Append-only."""

    __tablename__ = "setting"
    __table_args__ = (Index("ix_setting_name_from_on", "name", "from_on"),)

    id: Mapped[Key]
    name: Mapped[Kind]
    value: Mapped[Any] = mapped_column(JsonText(), nullable=False)
    from_on: Mapped[Day]
    at: Mapped[Moment]
    person_id: Mapped[int | None] = refers("person.id")


class LabourRate(Base):
    """What an hour of a skill is sold for to a kind of payer, from a day; payer kind "any" is the fallback.
    Append-only."""

    __tablename__ = "labour_rate"
    __table_args__ = (CheckConstraint("rate_minor >= 0", name="not_negative"),)

    id: Mapped[Key]
    skill: Mapped[Kind]
    payer_kind: Mapped[Kind]
    rate_minor: Mapped[Minor]
    from_on: Mapped[Day]
    at: Mapped[Moment]


class DatedTaxRate(Base):
    """One kind of tax from a day: the rate in thousandths of a percent and the line kinds that carry it.
    Append-only."""

    __tablename__ = "tax_rate"
    __table_args__ = (CheckConstraint("rate_thousandths BETWEEN 0 AND 100000", name="rate_in_range"),)

    id: Mapped[Key]
    code: Mapped[Kind]
    name: Mapped[Line]
    rate_thousandths: Mapped[Whole]
    line_kinds: Mapped[JsonList]
    """The line kinds that this tax applies to."""
    kinds_with_goods: Mapped[JsonList] = mapped_column(server_default="[]")
    """The line kinds that it applies to where a part or paint on the bill stays on the car."""
    is_confirmed: Mapped[bool] = mapped_column(default=False)
    """False while it is our guess from the country."""
    source: Mapped[Line] = mapped_column(default="", server_default="")
    """Where the rate was read; empty where the shop typed it, or before sources were kept."""
    read_on: Mapped[Day | None]
    from_on: Mapped[Day]
    at: Mapped[Moment]


class DatedCost(Base):
    """A fixed cost from a day, until another where that is known; without tax where the shop reclaims it."""

    __tablename__ = "fixed_cost"
    __table_args__ = (
        CheckConstraint("amount_minor >= 0", name="not_negative"),
        CheckConstraint("per IN ('month', 'quarter', 'year')", name="known_per"),
        CheckConstraint("until_on IS NULL OR until_on >= from_on", name="ends_later"),
    )

    id: Mapped[Key]
    name: Mapped[Line]
    amount_minor: Mapped[Minor]
    per: Mapped[Kind]
    from_on: Mapped[Day]
    until_on: Mapped[Day | None]
    """The last day on which it applies."""
    struck_at: Mapped[Moment | None]
    """When it was removed: it then counts in no month, and can be restored."""
