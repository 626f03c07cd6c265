"""Materials with their running stock, the movements that prove it, suppliers and kept pots."""

from sqlalchemy import CheckConstraint, Index
from sqlalchemy.orm import Mapped, mapped_column

from shopbook.models.base import Base, Day, JsonObject, Key, Kind, Line, Minor, Moment, Thousandths, Whole, refers


class Supplier(Base):
    """Who materials and parts are bought from."""

    __tablename__ = "supplier"

    id: Mapped[Key]
    name: Mapped[Line] = mapped_column(unique=True)
    phone: Mapped[Line]
    mail: Mapped[Line]
    lead_days: Mapped[Whole]
    is_active: Mapped[bool] = mapped_column(default=True)
    revision: Mapped[Whole] = mapped_column(default=1)


class Material(Base):
    """One kind of thing on the shelf. The four running figures are written by postings only and proved by check."""

    __tablename__ = "material"
    __table_args__ = (
        CheckConstraint("pack_thousandths > 0", name="pack_positive"),
        CheckConstraint("way IN ('measured', 'piece', 'shop_supplies')", name="known_way"),
        CheckConstraint("on_hand_thousandths > 0 OR value_minor <= 0", name="no_value_without_stock"),
        CheckConstraint("on_hand_thousandths <> 0 OR value_minor = 0", name="nothing_is_worth_nothing"),
        Index("ix_material_role", "role"),
    )

    id: Mapped[Key]
    name: Mapped[Line] = mapped_column(unique=True)
    role: Mapped[Kind]
    """The catalogue's role it stands for: filler, surfacer, clear, activator …; empty for none."""
    unit: Mapped[Kind]
    way: Mapped[Kind]
    pack_thousandths: Mapped[Thousandths]
    pack_name: Mapped[Line]
    pack_price_minor: Mapped[Minor | None]
    """The supplier's price for a pack; None until somebody says one."""
    order_at_quarters: Mapped[Whole]
    supplier_id: Mapped[int | None] = refers("supplier.id")
    shelf_place: Mapped[Line] = mapped_column(default="")
    shelf_life_days: Mapped[Whole | None]
    opened_life_days: Mapped[Whole | None]
    sheet: Mapped[JsonObject]
    """Figures of the product's data sheet (density, solids, ratio, VOC); the sheet itself comes first."""
    is_guess: Mapped[bool] = mapped_column(default=False)
    """Still as the catalogue loaded it."""
    is_active: Mapped[bool] = mapped_column(default=True)
    is_counted: Mapped[bool] = mapped_column(default=False)
    """Somebody has counted it or taken in a delivery: only then is the book's figure shown as stock."""

    on_hand_thousandths: Mapped[Thousandths] = mapped_column(default=0)
    value_minor: Mapped[Minor] = mapped_column(default=0)
    basis_value_minor: Mapped[Minor] = mapped_column(default=0)
    basis_quantity_thousandths: Mapped[Thousandths] = mapped_column(default=0)
    needs_count: Mapped[bool] = mapped_column(default=False)
    """Drawn beyond the book, or at no known cost."""
    revision: Mapped[Whole] = mapped_column(default=1)


class Movement(Base):
    """One line of the stock ledger. Append-only: corrected by another line with a reason."""

    __tablename__ = "movement"
    __table_args__ = (
        Index("ix_movement_material_id_on", "material_id", "on", "id", "quantity_thousandths", "value_minor"),
        Index("ix_movement_job_id_material_id", "job_id", "material_id"),
        Index("ix_movement_on_kind", "on", "kind", "value_minor"),
    )

    id: Mapped[Key]
    material_id: Mapped[int] = refers("material.id", index=False)
    kind: Mapped[Kind]
    at: Mapped[Moment]
    on: Mapped[Day]
    quantity_thousandths: Mapped[Thousandths]
    value_minor: Mapped[Minor]
    job_id: Mapped[int | None] = refers("job.id", index=False)
    stage_id: Mapped[int | None] = refers("stage.id")
    lot_id: Mapped[int | None] = refers("lot.id")
    mix_id: Mapped[int | None] = refers("mix.id")
    delivery_line_id: Mapped[int | None] = refers("delivery_line.id")
    returns_id: Mapped[int | None] = refers("movement.id", index=False)
    """The issue that this line takes back."""
    is_assumed: Mapped[bool] = mapped_column(default=False)
    """Nobody touched the planned figure."""
    is_flagged: Mapped[bool] = mapped_column(default=False)
    """Beyond the book, or at no known cost."""
    reason: Mapped[Line] = mapped_column(default="")
    person_id: Mapped[int | None] = refers("person.id", index=False)


class Pot(Base):
    """What is left of something bought or mixed for one car, kept at nil value."""

    __tablename__ = "pot"

    id: Mapped[Key]
    job_id: Mapped[int | None] = refers("job.id")
    name: Mapped[Line]
    colour_code: Mapped[Line]
    amount_thousandths: Mapped[Thousandths]
    unit: Mapped[Kind]
    kept_on: Mapped[Day]
    expires_on: Mapped[Day | None]
    gone_at: Mapped[Moment | None]
