"""Money taken and given back, its receipts, and what of it was set against which invoice. Append-only, all three."""

from sqlalchemy import CheckConstraint, Index, UniqueConstraint, false
from sqlalchemy.orm import Mapped, mapped_column, relationship

from shopbook.models.base import Base, Day, JsonObject, Key, Kind, Line, Minor, Moment, Whole, refers
from shopbook.models.customers import Customer, whose, whose_customer
from shopbook.models.jobs import Job


class Payment(Base):
    """Money that came in (positive) or went back (negative), with a receipt number of its own."""

    __tablename__ = "payment"
    __table_args__ = (
        UniqueConstraint("series", "year", "number"),
        CheckConstraint("amount_minor <> 0", name="not_nothing"),
        Index("ix_payment_on", "on"),
    )

    id: Mapped[Key]
    series: Mapped[Kind]
    year: Mapped[Whole] = mapped_column(default=0)
    number: Mapped[Whole]
    kind: Mapped[Kind]
    """payment, deposit, held, security, refund, moved, rounding, written_off, recovered (takes a write-off back),
    or why it takes a payment back (`Reversal`; above zero: a refund)."""
    customer_id: Mapped[int | None] = refers("customer.id")
    whose_id: Mapped[int | None] = whose(customer_id)
    job_id: Mapped[int | None] = refers("job.id")
    amount_minor: Mapped[Minor]
    means: Mapped[Kind]
    """cash, card, transfer, cheque, none."""
    reference: Mapped[Line] = mapped_column(default="")
    at: Mapped[Moment]
    on: Mapped[Day]
    reverses_id: Mapped[int | None] = refers("payment.id", index=False)
    reason: Mapped[Line] = mapped_column(default="")
    person_id: Mapped[int | None] = refers("person.id", index=False)

    customer: Mapped[Customer | None] = whose_customer(lambda: Payment.customer_id)
    job: Mapped[Job | None] = relationship(lazy="raise", viewonly=True)


class Receipt(Base):
    """What the receipt of a payment says, as things stood when the money was taken. Append-only, one row a payment."""

    __tablename__ = "receipt"
    __table_args__ = (UniqueConstraint("payment_id"),)

    id: Mapped[Key]
    payment_id: Mapped[int] = refers("payment.id", index=False)
    at: Mapped[Moment]
    on: Mapped[Day]
    content: Mapped[JsonObject]
    """The head as printed, what the money was taken for, and its notes; amounts in minor units."""
    is_reconstructed: Mapped[bool] = mapped_column(default=False, server_default=false())
    """Written by an upgrade, from what the book knew by then."""


class Allocation(Base):
    """A part of a payment set against one invoice (negative when it is taken back)."""

    __tablename__ = "allocation"
    __table_args__ = (CheckConstraint("amount_minor <> 0", name="not_nothing"), Index("ix_allocation_on", "on"))

    id: Mapped[Key]
    payment_id: Mapped[int] = refers("payment.id")
    invoice_id: Mapped[int] = refers("invoice.id")
    customer_id: Mapped[int | None] = refers("customer.id", index=False)
    amount_minor: Mapped[Minor]
    at: Mapped[Moment]
    on: Mapped[Day]
    reason: Mapped[Line] = mapped_column(default="", server_default="")
    """Why a person moved it; empty where money was set against a paper or freed by the way."""
