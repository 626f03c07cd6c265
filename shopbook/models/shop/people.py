"""The people of the shop, what they may and can do, what their hour costs, and the devices they sign in on."""

from sqlalchemy import CheckConstraint, Index
from sqlalchemy.orm import Mapped, mapped_column, validates

from shopbook.models.base import Base, Day, JsonList, Key, Kind, Line, Minor, Moment, Whole, refers
from shopbook.trade.letters import fold_name


class Person(Base):
    """One person; the password is for desk and owner, the PIN for the floor. Both are kept only as hashes."""

    __tablename__ = "person"

    id: Mapped[Key]
    name: Mapped[Line] = mapped_column(unique=True)
    folded_name: Mapped[Line] = mapped_column(unique=True)
    """The name as it is compared (`trade/letters.py: fold_name`): nobody else may have it in other letters."""
    name_before: Mapped[Line | None]
    """What a person was called before the upgrade told two alike names apart; until they know the new one."""
    password_hash: Mapped[Line | None]
    pin_hash: Mapped[Line | None]
    is_active: Mapped[bool] = mapped_column(default=True)
    weekly_minutes: Mapped[Whole]
    """Minutes that this person is usually here in a week; the diary spreads them over opening hours."""
    created_at: Mapped[Moment]
    revision: Mapped[Whole] = mapped_column(default=1)

    @validates("name")
    def _fold(self, key: str, name: str) -> str:
        """Both columns change together, whoever sets the name."""
        self.folded_name = fold_name(name)
        return name


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


class PersonWeek(Base):
    """How a person is paid from a day: by the week over the usual days, or by attendance. Append-only."""

    __tablename__ = "person_week"
    __table_args__ = (CheckConstraint("weekly_minutes IS NULL OR weekly_minutes >= 0", name="not_negative"),)

    id: Mapped[Key]
    person_id: Mapped[int] = refers("person.id")
    weekly_minutes: Mapped[Whole | None]
    """Minutes paid in a week; None where the hours here are paid."""
    weekdays: Mapped[JsonList]
    """The person's usual days; Monday is 0."""
    from_on: Mapped[Day]
    at: Mapped[Moment]
    by_person_id: Mapped[int | None] = refers("person.id", index=False)


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
    """Wrong PINs or passwords in a row, counted apart; slows the next try and outlives the refusal."""

    __tablename__ = "pin_trial"

    whom: Mapped[Line] = mapped_column(primary_key=True)
    """"password:192.0.2.1:…", "known:…:…" or "pin:device:12:…"; the end is a hash of the name, known or not."""
    wrong: Mapped[Whole]
    last_at: Mapped[Moment]
