"""The damage on a car, what the gauge reads on its panels, and the pictures."""

from datetime import datetime
from typing import Any

from sqlalchemy import CheckConstraint, ColumnElement, UniqueConstraint, case, select
from sqlalchemy.orm import Mapped, column_property, mapped_column

from shopbook.models.base import Base, Day, Key, Kind, Line, Moment, Whole, Words, refers


class Damage(Base):
    """One damage on one panel, or many small dents of one size class."""

    __tablename__ = "damage"
    __table_args__ = (
        UniqueConstraint("job_id", "number"),
        CheckConstraint("length_mm IS NULL OR length_mm > 0", name="length_positive"),
        CheckConstraint("width_mm IS NULL OR width_mm > 0", name="width_positive"),
        CheckConstraint("dent_count >= 0", name="count_not_negative"),
        CheckConstraint("chip_count >= 0", name="chips_not_negative"),
    )

    id: Mapped[Key]
    job_id: Mapped[int] = refers("job.id", index=False)
    number: Mapped[Whole]
    panel: Mapped[Kind]
    panel_words: Mapped[Line]
    """Set for a panel that is not drawn."""
    kind: Mapped[Kind]
    size: Mapped[Kind]
    """S, M, L."""
    length_mm: Mapped[Whole | None]
    width_mm: Mapped[Whole | None]
    depth: Mapped[Kind]
    depth_um: Mapped[Whole | None]
    dent_count: Mapped[Whole]
    dent_class_mm: Mapped[Whole]
    crosses: Mapped[Line]
    """Comma-separated: line, edge, lip."""
    access: Mapped[Kind]
    substrate: Mapped[Kind]
    is_paint_sound: Mapped[bool]
    paint: Mapped[Kind]
    """no_paint, paint, blend."""
    reach: Mapped[Kind] = mapped_column(default="")
    """The deepest coat that a scratch goes into: clear, primer, metal; empty: by its depth."""
    chip_count: Mapped[Whole] = mapped_column(default=0)
    plastic: Mapped[Kind] = mapped_column(default="")
    was_filled: Mapped[bool] = mapped_column(default=False)
    """Earlier filler is known of."""
    is_epoxy_first: Mapped[bool] = mapped_column(default=False)
    clear_stop: Mapped[Kind] = mapped_column(default="")
    """Where the clear stops on a quarter or roof: joint, roof, pillar; empty: not asked yet."""
    blend_into: Mapped[Line] = mapped_column(default="")
    """Comma-separated panels that the colour fades out into; empty: as the panel's entry says."""
    note: Mapped[Words]
    left_at: Mapped[Moment | None]
    """The customer declined this panel: it stays in the book, and out of the plan."""
    struck_at: Mapped[Moment | None]


class GaugeReading(Base):
    """One reading of the coating gauge on a panel, in µm."""

    __tablename__ = "gauge_reading"
    __table_args__ = (CheckConstraint("film_um BETWEEN 0 AND 20000", name="film_in_range"),)

    id: Mapped[Key]
    job_id: Mapped[int] = refers("job.id")
    panel: Mapped[Kind]
    spot: Mapped[Line]
    film_um: Mapped[Whole]
    at: Mapped[Moment]
    person_id: Mapped[int | None] = refers("person.id", index=False)


class PictureStrike(Base):
    """A picture that was removed, or restored; its newest line counts. Append-only."""

    __tablename__ = "picture_strike"

    id: Mapped[Key]
    picture_id: Mapped[int] = refers("picture.id")
    is_struck: Mapped[bool]
    """False: it was restored."""
    at: Mapped[Moment]
    on: Mapped[Day]
    person_id: Mapped[int | None] = refers("person.id", index=False)


def struck_at_of(picture_id: Any) -> ColumnElement[datetime | None]:
    """When a picture was removed by its newest line, None while it is shown; `picture_id` is a column."""
    newest = select(case((PictureStrike.is_struck, PictureStrike.at))).where(PictureStrike.picture_id == picture_id)
    return newest.order_by(PictureStrike.id.desc()).limit(1).scalar_subquery()


class Picture(Base):
    """One picture, kept as a file under its content's hash, position stripped; recorded after it was synced.

    Append-only: that it was removed or restored is a line of its own.
    """

    __tablename__ = "picture"

    id: Mapped[Key] = mapped_column()
    job_id: Mapped[int] = refers("job.id")
    damage_id: Mapped[int | None] = refers("damage.id")
    quote_id: Mapped[int | None] = refers("quote.id", index=False)
    """The extra that it belongs to: it stands on that paper, never on the job's own quote."""
    purpose: Mapped[Kind]
    """damage, was_there, message, done, card."""
    sha256: Mapped[Line]
    thumbnail_sha256: Mapped[Line]
    width: Mapped[Whole]
    height: Mapped[Whole]
    size_bytes: Mapped[Whole]
    caption: Mapped[Line] = mapped_column(default="")
    at: Mapped[Moment]
    on: Mapped[Day]
    person_id: Mapped[int | None] = refers("person.id", index=False)
    struck_at: Mapped[datetime | None] = column_property(struck_at_of(id))
    """When it was removed, by its newest line; None while it is shown."""
