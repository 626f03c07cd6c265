"""The people who bring cars or pay for them, their vehicles, and the keys that find them.

A customer may be merged into another: its row stays and points at that one, and ledgers keep the id that they were
written with. Whoever asks which person that is now reads through the pointer, by `whole_of` or what is made of it here.
"""

from collections.abc import Callable
from typing import Any

from sqlalchemy import Column, Index, Integer, MetaData, Table, func, select
from sqlalchemy.orm import Mapped, column_property, foreign, mapped_column, relationship, remote
from sqlalchemy.sql import ColumnElement

from shopbook.models.base import Base, JsonObject, Key, Kind, Line, Moment, Whole, Words, refers

_pointer = Table("customer", MetaData(), Column("id", Integer), Column("merged_into_id", Integer)).alias("pointer")


def whole_of(customer_id: Any) -> ColumnElement[Any]:
    """The id of the customer that one is by now, of a column of ids or a plain one: of a merged one the first's."""
    first = select(_pointer.c.merged_into_id).where(_pointer.c.id == customer_id)
    return func.coalesce(first.scalar_subquery(), customer_id)


def whose(customer_id: ColumnElement[int | None] | Any) -> Any:
    """The attribute of a ledger's row that says whose it is by now; its own column keeps the id it was written with."""
    return column_property(whole_of(customer_id))


def whose_customer(customer_id: Callable[[], ColumnElement[int | None] | Any]) -> Any:
    """The relationship of a row to the customer that its own column, named in a lambda, is by now."""
    return relationship(
        primaryjoin=lambda: remote(foreign(Customer.id)) == whole_of(customer_id()),
        lazy="raise",
        viewonly=True,
        uselist=False,
    )


class Customer(Base):
    """A private person, a dealer, an insurer, a fleet. Nothing but a name or a phone or a plate is required."""

    __tablename__ = "customer"
    __table_args__ = (Index("ix_customer_name_id", "name", "id"),)

    id: Mapped[Key]
    kind: Mapped[Kind]
    """private, dealer, insurer, fleet."""
    name: Mapped[Line]
    printed_name: Mapped[Line] = mapped_column(server_default="")
    """The name in letters that papers can print; empty where they print the name itself."""
    phone: Mapped[Line]
    mail: Mapped[Line]
    address: Mapped[Words]
    tax_number: Mapped[Line]
    is_tax_registered: Mapped[bool]
    pays_within_days: Mapped[Whole]
    exemption: Mapped[JsonObject] = mapped_column(server_default="")
    """The certificate because of which no tax is charged, as `trade/billing/exempt.py` keeps it; empty without one."""
    note: Mapped[Words]
    created_at: Mapped[Moment]
    erased_at: Mapped[Moment | None]
    merged_into_id: Mapped[int | None] = refers("customer.id")
    """The customer that this one is: everything is read as that one's until both are parted. Never two steps."""
    revision: Mapped[Whole] = mapped_column(default=1)

    vehicles: Mapped[list["Vehicle"]] = relationship(
        secondary=_pointer,
        primaryjoin=lambda: (
            (Customer.id == foreign(_pointer.c.id)) | (Customer.id == foreign(_pointer.c.merged_into_id))
        ),
        secondaryjoin=lambda: foreign(Vehicle.customer_id) == remote(_pointer.c.id),
        lazy="raise",
        order_by="Vehicle.id",
        viewonly=True,
    )

    @property
    def called(self) -> str:
        """The name, or the phone number where there is none."""
        return self.name or self.phone


class Vehicle(Base):
    """One car; its finish and colour belong to it. Its customer may change, the jobs keep theirs."""

    __tablename__ = "vehicle"

    id: Mapped[Key]
    customer_id: Mapped[int | None] = refers("customer.id")
    plate: Mapped[Line]
    vin: Mapped[Line]
    """As kept: a VIN or an old frame number; warnings may have been accepted."""
    year: Mapped[Whole | None]
    description: Mapped[Line]
    """Make, model, body: "hatchback", "van", as the desk says it."""
    colour_name: Mapped[Line]
    colour_code: Mapped[Line]
    colour_hex: Mapped[Kind]
    """What the chip on the screen is drawn in: "#2f5f9b"."""
    finish: Mapped[Kind]
    """solid, metallic, pearl, three_stage, matt, unknown."""
    hue: Mapped[Kind]
    is_high_voltage: Mapped[bool]
    has_driver_aids: Mapped[bool]
    note: Mapped[Words]
    created_at: Mapped[Moment]
    revision: Mapped[Whole] = mapped_column(default=1)

    customer: Mapped[Customer | None] = relationship(
        primaryjoin=lambda: remote(foreign(Customer.id)) == whole_of(Vehicle.customer_id),
        lazy="raise",
        viewonly=True,
        uselist=False,
    )


class SearchKey(Base):
    """One normalised key (plate, name word, phone, VIN end, job number) that leads to what it names."""

    __tablename__ = "search_key"
    __table_args__ = (Index("ix_search_key_key_kind", "key", "kind"),)

    id: Mapped[Key]
    key: Mapped[Line] = mapped_column()
    kind: Mapped[Kind]
    customer_id: Mapped[int | None] = refers("customer.id")
    vehicle_id: Mapped[int | None] = refers("vehicle.id")
    job_id: Mapped[int | None] = refers("job.id")
