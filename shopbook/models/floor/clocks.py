"""Hours: attendance, the one clock that runs for a person, and the ledger of finished clock entries."""

from sqlalchemy import CheckConstraint, Index
from sqlalchemy.orm import Mapped, mapped_column, relationship

from shopbook.models.base import Base, Day, Key, Kind, Line, Minor, Moment, Whole, refers


class Attendance(Base):
    """When a person came and went on a day; the latest line of a day counts. Append-only."""

    __tablename__ = "attendance"
    __table_args__ = (Index("ix_attendance_person_id_on", "person_id", "on", "id"),)

    id: Mapped[Key]
    person_id: Mapped[int] = refers("person.id", index=False)
    on: Mapped[Day]
    came_at: Mapped[Moment | None]
    went_at: Mapped[Moment | None]
    at: Mapped[Moment]
    by_person_id: Mapped[int | None] = refers("person.id", index=False)
    reason: Mapped[Line] = mapped_column(default="")


class RunningClock(Base):
    """The clock that runs for a person now: at most one, by its key. It becomes a ledger line when it stops."""

    __tablename__ = "running_clock"

    person_id: Mapped[int] = refers("person.id", primary_key=True, index=False)
    started_at: Mapped[Moment]
    what: Mapped[Kind]
    """stage, or what else is done: setting_up, cleaning, moving_cars, fetching, phone, waiting, break."""
    note: Mapped[Line] = mapped_column(default="")

    shares: Mapped[list["RunningShare"]] = relationship(lazy="raise", order_by="RunningShare.stage_id", viewonly=True)

    @property
    def stage_ids(self) -> tuple[int, ...]:
        """The stages that it runs on."""
        return tuple(share.stage_id for share in self.shares)


class RunningShare(Base):
    """One stage that a clock runs on."""

    __tablename__ = "running_share"

    person_id: Mapped[int] = refers("running_clock.person_id", primary_key=True, index=False)
    stage_id: Mapped[int] = refers("stage.id", primary_key=True)


class ClockEntry(Base):
    """One finished interval of one person. Append-only: a correction is a reversing line and a new one."""

    __tablename__ = "clock_entry"
    __table_args__ = (
        Index("ix_clock_entry_person_id_on", "person_id", "on", "id"),
        Index("ix_clock_entry_on", "on"),
        CheckConstraint("stopped_at >= started_at", name="stops_after_start"),
        CheckConstraint("reverses_id IS NULL OR minutes <= 0", name="a_reversal_takes_back"),
    )

    id: Mapped[Key]
    person_id: Mapped[int] = refers("person.id", index=False)
    at: Mapped[Moment]
    on: Mapped[Day]
    started_at: Mapped[Moment]
    stopped_at: Mapped[Moment]
    minutes: Mapped[Whole]
    """Worked minutes, lunch and closed time cut out; negative on a reversing line."""
    what: Mapped[Kind]
    """stage, to_place, not_on_car, or what else was done."""
    note: Mapped[Line] = mapped_column(default="")
    reverses_id: Mapped[int | None] = mapped_column(unique=True)
    """The entry that this line reverses."""
    reason: Mapped[Line] = mapped_column(default="")
    is_typed: Mapped[bool] = mapped_column(default=False)
    """Typed from a paper card or corrected by hand, not clocked."""
    by_person_id: Mapped[int | None] = refers("person.id", index=False)

    shares: Mapped[list["ClockShare"]] = relationship(lazy="raise", order_by="ClockShare.id", viewonly=True)


class ClockShare(Base):
    """The share of an entry on one stage, at the person's cost on the day. Append-only."""

    __tablename__ = "clock_share"
    __table_args__ = (
        Index("ix_clock_share_stage_id", "stage_id", "minutes"),
        Index("ix_clock_share_job_id", "job_id", "minutes", "cost_minor"),
    )

    id: Mapped[Key]
    entry_id: Mapped[int] = refers("clock_entry.id")
    stage_id: Mapped[int] = refers("stage.id", index=False)
    job_id: Mapped[int] = refers("job.id", index=False)
    minutes: Mapped[Whole]
    cost_minor: Mapped[Minor]
    is_agreed: Mapped[bool]
    """Whether the stage was approved when the entry was written."""
