"""The people of the shop, what they may and can do, what their hour costs, and the devices they sign in on."""

from sqlalchemy import CheckConstraint, Index
from sqlalchemy.orm import Mapped, mapped_column

from shopbook.models.base import Base, Day, Key, Kind, Line, Minor, Moment, Whole, refers


class Person(Base):
    """One person; the password is for desk and owner, the PIN for the floor. Both are kept only as hashes."""

    __tablename__ = "person"

    id: Mapped[Key]
    name: Mapped[Line] = mapped_column(unique=True)
    password_hash: Mapped[Line | None]
    pin_hash: Mapped[Line | None]
    is_active: Mapped[bool] = mapped_column(default=True)
    weekly_minutes: Mapped[Whole]
    """Minutes that this person is usually here in a week; the diary spreads them over opening hours."""
    created_at: Mapped[Moment]
    revision: Mapped[Whole] = mapped_column(default=1)


class PersonRole(Base):
    """One role of one person: desk, technician, owner."""

    __tablename__ = "person_role"
    __table_args__ = (CheckConstraint("role IN ('desk', 'technician', 'owner')", name="known_role"),)

    person_id: Mapped[int] = refers("person.id", primary_key=True, index=False)
    role: Mapped[Kind] = mapped_column(primary_key=True)


class PersonSkill(Base):
    """One skill of one person: body, paint, detail."""

    __tablename__ = "person_skill"

    person_id: Mapped[int] = refers("person.id", primary_key=True, index=False)
    skill: Mapped[Kind] = mapped_column(primary_key=True)


class PersonCost(Base):
    """What an hour of a person costs the shop, from a day; of one day the newest line counts. Append-only."""

    __tablename__ = "person_cost"
    __table_args__ = (
        CheckConstraint("cost_minor >= 0", name="not_negative"),
        Index("ix_person_cost_person_id_from_on", "person_id", "from_on"),
    )

    id: Mapped[Key]
    person_id: Mapped[int] = refers("person.id", index=False)
    cost_minor: Mapped[Minor]
    from_on: Mapped[Day]


class SignIn(Base):
    """A browser in which a person is signed in with a password. Signing out takes the row away, and with it every
    copy of the browser's cookie."""

    __tablename__ = "sign_in"

    token_hash: Mapped[Line] = mapped_column(primary_key=True)
    person_id: Mapped[int] = refers("person.id")
    since_at: Mapped[Moment]


class Device(Base):
    """A phone or computer that stays signed in; `person_id` is who holds it now."""

    __tablename__ = "device"

    id: Mapped[Key]
    token_hash: Mapped[Line] = mapped_column(unique=True)
    name: Mapped[Line]
    person_id: Mapped[int | None] = refers("person.id")
    since_at: Mapped[Moment]
    ended_at: Mapped[Moment | None]


class PinTrial(Base):
    """Wrong PINs and passwords in a row, by device or name; slows the next try and outlives the refusal."""

    __tablename__ = "pin_trial"

    whom: Mapped[Line] = mapped_column(primary_key=True)
    """"name:…" (a hash of the name as typed, known or not), "device:12" or "address:…"."""
    wrong: Mapped[Whole]
    last_at: Mapped[Moment]
