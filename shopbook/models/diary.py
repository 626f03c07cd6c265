"""Time off."""

from sqlalchemy import CheckConstraint, UniqueConstraint, true
from sqlalchemy.orm import Mapped, mapped_column

from shopbook.models.base import Base, Day, Key, Line, Whole, refers


class Absence(Base):
    """Minutes of one day on which a person is not here although the shop is open."""

    __tablename__ = "absence"
    __table_args__ = (
        CheckConstraint("minutes_away BETWEEN 0 AND 1440", name="within_a_day"),
        UniqueConstraint("person_id", "on"),
    )

    id: Mapped[Key]
    person_id: Mapped[int] = refers("person.id", index=False)
    on: Mapped[Day]
    minutes_away: Mapped[Whole]
    why: Mapped[Line]
    is_paid: Mapped[bool] = mapped_column(default=True, server_default=true())
    """Whether it is paid: of a person paid by the week, time off that is not is taken off the paid hours."""
