"""Closed months: nothing is dated into them afterwards."""

from sqlalchemy.orm import Mapped, mapped_column

from shopbook.models.base import Base, Day, JsonObject, Key, Kind, Moment, refers


class MonthClose(Base):
    """One closed month with its figures as they stood. Append-only."""

    __tablename__ = "month_close"

    id: Mapped[Key]
    month: Mapped[Kind] = mapped_column(unique=True)
    """ "2026-10" """
    through_on: Mapped[Day]
    figures: Mapped[JsonObject]
    """The month's sums."""
    at: Mapped[Moment]
    person_id: Mapped[int | None] = refers("person.id", index=False)
    paper_id: Mapped[int | None] = refers("paper.id", index=False)
