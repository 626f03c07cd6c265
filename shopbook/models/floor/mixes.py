"""Mixes: made once, taken from stock once, shared by stages."""

from sqlalchemy import CheckConstraint, Index
from sqlalchemy.orm import Mapped

from shopbook.models.base import Base, Day, Key, Kind, Line, Moment, Thousandths, refers


class Mix(Base):
    """One cup: what was mixed and what was left. Append-only."""

    __tablename__ = "mix"
    __table_args__ = (
        CheckConstraint("total_thousandths > 0", name="something_mixed"),
        CheckConstraint("left_thousandths BETWEEN 0 AND total_thousandths", name="left_within_total"),
        Index("ix_mix_on_person_id", "on", "person_id"),
    )

    id: Mapped[Key]
    name: Mapped[Line]
    total_thousandths: Mapped[Thousandths]
    left_thousandths: Mapped[Thousandths]
    is_left_kept: Mapped[bool]
    is_assumed: Mapped[bool]
    at: Mapped[Moment]
    on: Mapped[Day]
    person_id: Mapped[int | None] = refers("person.id", index=False)


class MixPart(Base):
    """One material of a mix. Append-only."""

    __tablename__ = "mix_part"

    id: Mapped[Key]
    mix_id: Mapped[int] = refers("mix.id")
    material_id: Mapped[int | None] = refers("material.id")
    role: Mapped[Kind]
    amount_thousandths: Mapped[Thousandths]


class MixShare(Base):
    """The share of a mix that one stage used. Append-only."""

    __tablename__ = "mix_share"

    id: Mapped[Key]
    mix_id: Mapped[int] = refers("mix.id")
    stage_id: Mapped[int] = refers("stage.id")
    amount_thousandths: Mapped[Thousandths]


class MixTakenBack(Base):
    """A mix that was recorded by mistake and does not count. Append-only."""

    __tablename__ = "mix_taken_back"

    id: Mapped[Key]
    mix_id: Mapped[int] = refers("mix.id", unique=True, index=False)
    at: Mapped[Moment]
    on: Mapped[Day]
    person_id: Mapped[int | None] = refers("person.id", index=False)
