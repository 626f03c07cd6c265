"""What was seen on the shelf when somebody counted."""

from sqlalchemy.orm import Mapped

from shopbook.models.base import Base, Day, Key, Moment, Thousandths, refers


class StockCount(Base):
    """One round of counting. Append-only."""

    __tablename__ = "stock_count"

    id: Mapped[Key]
    at: Mapped[Moment]
    on: Mapped[Day]
    person_id: Mapped[int | None] = refers("person.id", index=False)


class CountLine(Base):
    """One material: what was seen, what the book said. The difference is a movement. Append-only."""

    __tablename__ = "count_line"

    id: Mapped[Key]
    count_id: Mapped[int] = refers("stock_count.id")
    material_id: Mapped[int] = refers("material.id")
    seen_thousandths: Mapped[Thousandths]
    book_thousandths: Mapped[Thousandths]
    movement_id: Mapped[int | None] = refers("movement.id", index=False)
