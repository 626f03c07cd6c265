"""The shelf page: each material with its stock, what is spoken for, what is coming, and what to do."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from sqlalchemy.orm import Session

from shopbook.models.shelf import Material, Supplier
from shopbook.queries.shelf.lots import LiveLot, LotLeft, by_material, list_live_lots
from shopbook.queries.shelf.materials import get_material, list_materials, list_suppliers
from shopbook.queries.shelf.needs import SpokenFor, list_spoken_for, use_a_day, use_by_week
from shopbook.queries.shelf.orders import OnOrder, Order, list_open_orders, on_order_among
from shopbook.queries.shop.book import country_of, get_book, get_units
from shopbook.trade.catalogue.kinds import WayUsed
from shopbook.trade.measures.days import DateForm
from shopbook.trade.measures.quantities import pack_words, quarters
from shopbook.trade.measures.units import Unit, UnitSystem
from shopbook.trade.stock.reorder import Arrival, Need, ReorderLine, ReorderState, ShelfLevel, plan_reorder
from shopbook.trade.stock.sparse_demand import what_use_says


@dataclass(frozen=True, slots=True)
class ShelfRow:
    """One material of the sheet. Quantities in thousandths of its base unit, shown in `unit`.

    `line` is None for a material that was never counted: the book has no figure for it.
    """

    material: Material
    supplier: Supplier | None
    unit: Unit
    needs: tuple[SpokenFor, ...]
    coming: tuple[OnOrder, ...]
    drafted_packs: int
    lots: tuple[LotLeft, ...]
    shelf: ShelfLevel
    line: ReorderLine | None

    @property
    def quarters(self) -> int:
        """What is there, in quarters of a pack."""
        return quarters(self.material.on_hand_thousandths, self.material.pack_thousandths)

    @property
    def pack_words(self) -> str:
        """What is there, in words: "2½ × 1 L"; "not counted" before the first count."""
        here = self.material
        if not here.is_counted:
            return "not counted"
        return pack_words(here.on_hand_thousandths, here.pack_thousandths, here.pack_name)

    @property
    def spoken_thousandths(self) -> int:
        """What approved jobs still need."""
        return sum(need.quantity_thousandths for need in self.needs)

    @property
    def is_for_supplies(self) -> bool:
        """Whether it counts as used when its pack is opened."""
        return self.material.way == WayUsed.SHOP_SUPPLIES

    @property
    def is_drafted(self) -> bool:
        """Whether an order that is not sent yet holds as many packs as are to be ordered."""
        return self.line is not None and self.drafted_packs >= self.line.packs

    @property
    def wants_count(self) -> bool:
        """Whether it should be counted before its figures are trusted."""
        here = self.material
        return here.needs_count or (not here.is_counted and bool(self.needs))

    def is_late(self, day: date) -> bool:
        """Whether some of it is on an order that should have come before that day."""
        return any(one.is_late(day) for one in self.coming)

    @property
    def is_out(self) -> bool:
        """Whether it is counted and nothing of it is there."""
        return self.material.is_counted and self.material.on_hand_thousandths <= 0

    @property
    def state(self) -> ReorderState | None:
        """Its state; None before the first count."""
        return self.line.state if self.line else None


@dataclass(frozen=True, slots=True)
class ToOrder:
    """What to order from one supplier (None: not chosen yet), with the packs' last prices summed."""

    supplier: Supplier | None
    rows: tuple[ShelfRow, ...]

    @property
    def total_minor(self) -> int:
        """The rows at their last price; rows without one count for nothing."""
        return sum((row.material.pack_price_minor or 0) * row.line.packs for row in self.rows if row.line)

    @property
    def unpriced(self) -> int:
        """How many rows have no price."""
        return sum(row.material.pack_price_minor is None for row in self.rows)


@dataclass(frozen=True, slots=True)
class _Around:
    """What all rows of one look have in common."""

    day: date
    form: DateForm
    units: UnitSystem
    suppliers: dict[int, Supplier]
    needs: dict[int, list[SpokenFor]]
    coming: dict[int, list[OnOrder]]
    drafted: dict[int, int]
    used: dict[int, int]
    lots: dict[int, list[LotLeft]]


@dataclass(frozen=True, slots=True)
class OnTheShelf:
    """What a page of the shelf reads once and hands down: orders that are open, and lots that are not used up."""

    orders: tuple[Order, ...]
    lots: tuple[LiveLot, ...]


def read_shelf(session: Session) -> OnTheShelf:
    """Open orders and live lots of the whole shelf; three statements."""
    return OnTheShelf(tuple(list_open_orders(session)), tuple(list_live_lots(session)))


def list_shelf(session: Session, day: date, words: str = "", shelf: OnTheShelf | None = None) -> list[ShelfRow]:
    """The sheet: what wants a count first, then what is short, then what to order soon, then the rest by name.

    With `words` only materials in whose name or place they stand. The number of statements does not grow with rows.
    """
    materials = list_materials(session, words)
    around = _look_around(session, day, shelf or read_shelf(session), None if words.strip() else materials)
    return sorted((_row(one, around) for one in materials), key=_urgency)


def get_shelf_row(session: Session, day: date, material_id: int) -> ShelfRow:
    """One material as the sheet shows it; NotFound when there is none."""
    material = get_material(session, material_id)
    lots = tuple(list_live_lots(session, [material_id]))
    return _row(material, _look_around(session, day, OnTheShelf(tuple(list_open_orders(session)), lots)))


def reorder_list(session: Session, day: date) -> list[ToOrder]:
    """What to order, by supplier in the order of their names, those without one last; the most pressing row first."""
    by_supplier: dict[int, list[ShelfRow]] = {}
    for row in list_shelf(session, day):
        if row.line is not None and row.line.packs:
            by_supplier.setdefault(row.material.supplier_id or 0, []).append(row)
    found = [ToOrder(rows[0].supplier, tuple(rows)) for rows in by_supplier.values()]
    return sorted(found, key=lambda one: (one.supplier is None, one.supplier.name.casefold() if one.supplier else ""))


def say_use(session: Session, day: date, rows: Iterable[ShelfRow]) -> dict[int, str]:
    """What use of the last months says of each of these materials, by material id."""
    shelves = {row.material.id: row.shelf for row in rows}
    weeks = use_by_week(session, day, shelves)
    return {key: what_use_says(shelf, weeks.get(key, [])) for key, shelf in shelves.items()}


def needing_job(number: int) -> str:
    """What a job is called where it needs a material: "job 1042"."""
    return f"job {number}"


def list_short(session: Session, day: date, shelf: OnTheShelf | None = None) -> list[ShelfRow]:
    """Materials that are short for an approved job."""
    return [row for row in list_shelf(session, day, shelf=shelf) if row.state is ReorderState.SHORT]


def _urgency(row: ShelfRow) -> tuple[bool, int, date, bool, str]:
    order = {ReorderState.SHORT: 0, ReorderState.ORDER_SOON: 1}
    by = row.line.order_by if row.line and row.line.order_by else date.max
    state = order.get(row.state, 2) if row.state else 2
    return (not row.wants_count, state, by, not row.material.is_counted, row.material.name.casefold())


def _look_around(session: Session, day: date, shelf: OnTheShelf, in_use: list[Material] | None = None) -> _Around:
    needs: dict[int, list[SpokenFor]] = {}
    for need in list_spoken_for(session, day, in_use):
        needs.setdefault(need.material_id, []).append(need)
    coming: dict[int, list[OnOrder]] = {}
    for one in on_order_among(shelf.orders):
        coming.setdefault(one.material_id, []).append(one)
    drafted: dict[int, int] = {}
    for draft in (one for one in shelf.orders if one.is_draft):
        for line in draft.lines:
            drafted[line.material.id] = drafted.get(line.material.id, 0) + line.line.packs
    return _Around(
        day=day,
        form=country_of(get_book(session)).date_form,
        units=get_units(session),
        suppliers={one.id: one for one in list_suppliers(session, is_everybody=True)},
        needs=needs,
        coming=coming,
        drafted=drafted,
        used=dict(use_a_day(session, day)),
        lots=by_material(shelf.lots),
    )


def _row(material: Material, around: _Around) -> ShelfRow:
    supplier = around.suppliers.get(material.supplier_id or 0)
    needs = tuple(around.needs.get(material.id, ()))
    coming = tuple(around.coming.get(material.id, ()))
    unit = around.units.shown(Unit(material.unit))
    shelf = ShelfLevel(
        unit=unit,
        pack_thousandths=material.pack_thousandths,
        pack_name=material.pack_name,
        on_hand_thousandths=material.on_hand_thousandths,
        threshold_quarters=material.order_at_quarters,
        lead_days=supplier.lead_days if supplier else 1,
        used_a_day_thousandths=around.used.get(material.id, 0),
        locale=around.units.locale,
    )
    line = None
    if material.is_counted:
        line = plan_reorder(
            shelf,
            [Need(needing_job(one.job_number), one.quantity_thousandths, one.needed_on) for one in needs],
            [_arrival(one, around.day) for one in coming],
            around.day,
            around.form,
        )
    return ShelfRow(
        material=material,
        supplier=supplier,
        unit=unit,
        needs=needs,
        coming=coming,
        drafted_packs=around.drafted.get(material.id, 0),
        lots=tuple(around.lots.get(material.id, ())),
        shelf=shelf,
        line=line,
    )


def _arrival(one: OnOrder, day: date) -> Arrival:
    """A late order is not expected on any day: it is late, and nobody knows by how much."""
    return Arrival(one.quantity_thousandths, None if one.is_late(day) else one.due_on)
