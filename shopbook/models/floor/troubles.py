"""What went wrong on the floor, and what was really sprayed."""

from sqlalchemy.orm import Mapped, mapped_column

from shopbook.models.base import Base, Day, JsonList, JsonObject, Key, Kind, Line, Moment, Whole, Words, refers


class Trouble(Base):
    """One defect that somebody reported on a stage, its cause if known, and the stage that mends it."""

    __tablename__ = "trouble"

    id: Mapped[Key]
    job_id: Mapped[int] = refers("job.id")
    stage_id: Mapped[int | None] = refers("stage.id")
    kind: Mapped[Kind]
    cause: Mapped[Line]
    note: Mapped[Words]
    rework_stage_id: Mapped[int | None] = refers("stage.id", index=False)
    at: Mapped[Moment]
    on: Mapped[Day]
    person_id: Mapped[int | None] = refers("person.id", index=False)


class SprayRecord(Base):
    """What was really used for one coat on one stage; the next job with that colour shows it."""

    __tablename__ = "spray_record"

    id: Mapped[Key]
    job_id: Mapped[int] = refers("job.id")
    stage_id: Mapped[int] = refers("stage.id")
    product: Mapped[Kind]
    colour_code: Mapped[Line] = mapped_column(index=True)
    variant: Mapped[Line]
    temperature_tenths: Mapped[Whole | None]
    humidity_percent: Mapped[Whole | None]
    gun: Mapped[JsonObject]
    """Tip, inlet, distance, overlap, coats as used."""
    lots: Mapped[JsonList]
    """Batch numbers."""
    note: Mapped[Words]
    at: Mapped[Moment]
    on: Mapped[Day]
    person_id: Mapped[int | None] = refers("person.id", index=False)
