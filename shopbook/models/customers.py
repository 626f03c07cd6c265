"""The people who bring cars or pay for them, their vehicles, and the keys that find them."""

from sqlalchemy import Index
from sqlalchemy.orm import Mapped, mapped_column, relationship

from shopbook.models.base import Base, Key, Kind, Line, Moment, Whole, Words, refers


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
    note: Mapped[Words]
    created_at: Mapped[Moment]
    erased_at: Mapped[Moment | None]
    revision: Mapped[Whole] = mapped_column(default=1)

    vehicles: Mapped[list["Vehicle"]] = relationship(back_populates="customer", lazy="raise", order_by="Vehicle.id")


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

    customer: Mapped[Customer | None] = relationship(back_populates="vehicles", lazy="raise")


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
