"""The colour as it was mixed for a car, and its spray-out card."""

from sqlalchemy import CheckConstraint
from sqlalchemy.orm import Mapped, mapped_column

from shopbook.models.base import Base, Day, Key, Kind, Line, Moment, Whole, Words, refers


class ColourCard(Base):
    """One formula of a car's colour and the card sprayed with it; another formula is another card."""

    __tablename__ = "colour_card"
    __table_args__ = (
        CheckConstraint("verdict IN ('', 'match', 'blend', 'retint')", name="known_verdict"),
        CheckConstraint("coats IS NULL OR coats BETWEEN 1 AND 20", name="coats_in_range"),
    )

    id: Mapped[Key]
    vehicle_id: Mapped[int] = refers("vehicle.id")
    job_id: Mapped[int] = refers("job.id")
    """The job it was made for; the card stays with the car."""
    colour_code: Mapped[Line] = mapped_column(index=True)
    """As spray records keep it: capitals, no spaces."""
    variant: Mapped[Line]
    shade: Mapped[Line]
    """Against the standard of the code, as the trade says it: "darker", "redder", "dark"."""
    made_on: Mapped[Day]
    formula: Mapped[Words]
    """As typed: lines of toner and grams, or text."""
    verdict: Mapped[Kind]
    """match, blend, retint; empty until it was held against the car."""
    picture_id: Mapped[int | None] = refers("picture.id", index=False)
    coats: Mapped[Whole | None]
    light: Mapped[Line]
    """The light it was compared in."""
    note: Mapped[Words]
    at: Mapped[Moment]
    person_id: Mapped[int | None] = refers("person.id", index=False)
