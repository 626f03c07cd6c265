"""One visit of one vehicle. Its standing is read from the moments kept here, never stored as a word."""

from sqlalchemy import CheckConstraint, Index
from sqlalchemy.orm import Mapped, mapped_column, relationship

from shopbook.models.base import Base, Counted, Day, JsonList, JsonObject, Key, Kind, Line, Moment, Whole, Words, refers
from shopbook.models.customers import Customer, Vehicle, whose, whose_customer


class Job(Base):
    """From first call to handed over and paid."""

    __tablename__ = "job"
    __table_args__ = (
        CheckConstraint("ready_at IS NULL OR agreed_at IS NOT NULL OR purpose <> 'paid'", name="ready_after_agreed"),
        Index("ix_job_open", "settled_at", "called_off_at", "id"),
        Index("ix_job_in_the_shop", "handed_over_at", "called_off_at", "id"),
        Index("ix_job_promise_on", "promise_on"),
        Index("ix_job_drop_off_on", "drop_off_on"),
        Index("ix_job_handed_over_on", "handed_over_on"),
    )

    id: Mapped[Key]
    number: Mapped[Whole] = mapped_column(unique=True)
    customer_id: Mapped[int | None] = refers("customer.id")
    """The car's owner for this visit."""
    whose_id: Mapped[int | None] = whose(customer_id)
    vehicle_id: Mapped[int | None] = refers("vehicle.id")
    purpose: Mapped[Kind]
    """paid, goodwill, own_car, comeback."""
    payer_kind: Mapped[Kind]
    """private, dealer, insurer, fleet: picks the labour rate."""
    wrong: Mapped[Words]
    """What is wrong, in a line, as it was said."""
    is_sample: Mapped[bool] = mapped_column(default=False)
    comeback_of_id: Mapped[int | None] = refers("job.id")
    comeback_why: Mapped[Line] = mapped_column(default="")

    opened_at: Mapped[Moment]
    opened_on: Mapped[Day]
    came_at: Mapped[Moment | None]
    quoted_at: Mapped[Moment | None]
    """When the customer was sent, told or shown the quote that stands; empty while none stands with them."""
    agreed_at: Mapped[Moment | None]
    begun_at: Mapped[Moment | None]
    ready_at: Mapped[Moment | None]
    told_ready_at: Mapped[Moment | None]
    handed_over_at: Mapped[Moment | None]
    handed_over_on: Mapped[Day | None]
    settled_at: Mapped[Moment | None]
    called_off_at: Mapped[Moment | None]
    called_off_why: Mapped[Line] = mapped_column(default="")
    """price, time, no_answer, other, or words."""
    let_go_at: Mapped[Moment | None]
    """Set when a role let the car go with money still to pay."""
    taken_by: Mapped[Line] = mapped_column(default="")
    """Who took the car and its keys if not the customer; emptied when the customer is erased."""

    drop_off_on: Mapped[Day | None]
    drop_off_half: Mapped[Kind] = mapped_column(default="")
    """morning, afternoon or empty."""
    promise_on: Mapped[Day | None]
    promise_half: Mapped[Kind] = mapped_column(default="")
    working_days: Mapped[Whole | None]
    """Days in the shop as said at the car, in tenths."""

    key_number: Mapped[Line] = mapped_column(default="")
    place_id: Mapped[int | None] = refers("place.id")
    odometer: Mapped[Whole | None]
    """In the shop's unit of distance."""
    fuel: Mapped[Line] = mapped_column(default="")
    lamps_lit: Mapped[Line] = mapped_column(default="")
    was_there: Mapped[Words] = mapped_column(default="")
    belongings: Mapped[Words] = mapped_column(default="")

    conditions: Mapped[JsonObject]
    """What the plan was drafted for (temperature in tenths of °C, lamp, booth)."""
    accepted_warnings: Mapped[JsonList]
    """Pairs of a warning's code and its sentence that somebody accepted (the log says who)."""
    revision: Mapped[Whole] = mapped_column(default=1)
    last_line_key: Mapped[Counted]
    """The counter that the keys of the job's priced lines are drawn from."""

    customer: Mapped[Customer | None] = whose_customer(lambda: Job.customer_id)
    vehicle: Mapped[Vehicle | None] = relationship(lazy="raise")

    @property
    def colour_hex(self) -> str:
        """The car's colour for a screen; empty where nobody said it."""
        return self.vehicle.colour_hex if self.vehicle else ""
