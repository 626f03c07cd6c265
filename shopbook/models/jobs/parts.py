"""What is bought for one job: parts, colour, sublet work. Its cost stays on the job; it has no row on the shelf."""

from sqlalchemy import CheckConstraint
from sqlalchemy.orm import Mapped, mapped_column

from shopbook.models.base import Base, Counted, Day, Key, Kind, Line, Minor, Moment, refers


class JobPart(Base):
    """One thing or service bought in for one car."""

    __tablename__ = "job_part"
    __table_args__ = (
        CheckConstraint("cost_minor >= 0", name="cost_not_negative"),
        CheckConstraint("price_minor >= 0", name="price_not_negative"),
    )

    id: Mapped[Key]
    job_id: Mapped[int] = refers("job.id")
    kind: Mapped[Kind]
    """part, colour, sublet, fee."""
    name: Mapped[Line]
    source: Mapped[Kind] = mapped_column(default="")
    """new, used, pattern, exchange, or empty."""
    quote_group_key: Mapped[Line] = mapped_column(default="")
    supplier_id: Mapped[int | None] = refers("supplier.id")
    cost_minor: Mapped[Minor] = mapped_column(default=0)
    price_minor: Mapped[Minor] = mapped_column(default=0)
    is_touched: Mapped[bool] = mapped_column(default=False)
    ordered_at: Mapped[Moment | None]
    due_on: Mapped[Day | None]
    came_at: Mapped[Moment | None]
    came_on: Mapped[Day | None]
    sent_back_at: Mapped[Moment | None]
    credit_came_at: Mapped[Moment | None]
    struck_at: Mapped[Moment | None]
    line_key: Mapped[Counted]
    """Of the priced line that stands for it, quoted or not."""
