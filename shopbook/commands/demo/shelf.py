"""The shelf of the demo: what was there, weekly orders and what came of them, packs opened, counts, waste, pots."""

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from functools import partial

from shopbook.commands.demo.frame import Frame
from shopbook.models.shelf import Material
from shopbook.queries.shelf.materials import list_materials
from shopbook.queries.shelf.orders import OrderedLine, get_order, list_drafts
from shopbook.queries.shelf.sheet import reorder_list
from shopbook.services.act import Act
from shopbook.services.shelf.counts import count_materials
from shopbook.services.shelf.deliveries import Came, take_in_delivery
from shopbook.services.shelf.materials import add_supplier, change_material, keep_pot
from shopbook.services.shelf.orders import Wanted, draft_orders, send_order
from shopbook.services.shelf.stock import open_pack, waste_stock
from shopbook.trade.measures.units import Unit

_NO_ORDERS_FOR = 9
"""Working days before the last in which nothing is bought any more, so that today something is short."""
_PART_DELIVERY_DAYS_AGO = 62
_COUNTS_DAYS_AGO = (85, 40, 12)
_RANGES = {"clear": {"lowest_tenths": 150, "highest_tenths": 320, "most_humidity": 75}}
"""In what air a product may be worked by its sheet, tenths of °C and percent, as the painter typed it."""


class DemoShelf:
    """The shelf as it is kept by the desk and used by the floor."""

    def __init__(self, frame: Frame, suppliers: Sequence[str], prices: Sequence[Sequence[str]]) -> None:
        self._frame, self._prices = frame, prices
        self._has_halved = False
        self._suppliers = [
            add_supplier(
                Act(frame.session, frame.owner, frame.at(frame.days[0], "7:10")), name=name, phone=phone, lead_days=2
            )
            for name, phone in zip(
                suppliers, (f"{frame.book.phone[:-2]}90", f"{frame.book.phone[:-2]}70"), strict=False
            )
        ]
        self._begin(frame.at(frame.days[0], "7:20"))
        self._plan()

    def material(self, role: str) -> Material:
        """What stands for a role."""
        return next(one for one in list_materials(self._frame.session) if one.role == role)

    def _begin(self, moment: datetime) -> None:
        frame, seen = self._frame, []
        by_role = {one.role: one for one in list_materials(frame.session)}
        for role, price, packs, whose in self._prices:
            material = by_role[role]
            change_material(
                Act(frame.session, frame.owner, moment),
                material.id,
                revision=material.revision,
                pack_price_minor=int(price),
                supplier_id=self._suppliers[int(whose)].id,
                shelf_place="Rack " + "AB"[int(whose)],
                sheet=_RANGES.get(role),
            )
            seen.append((material.id, int(packs) * material.pack_thousandths))
        count_materials(Act(frame.session, frame.owner, moment), seen)

    def _plan(self) -> None:
        frame = self._frame
        for back in range(len(frame.days) - 2, 0, -1):
            day = frame.day(back)
            if day.weekday() == 0 and back > _NO_ORDERS_FOR:
                frame.push(frame.at(day, "8:35"), self._order)
            if day.weekday() == 2:
                frame.push(frame.at(day, "7:58"), self._open_packs)
        for back in _COUNTS_DAYS_AGO:
            frame.push(frame.at(frame.day(back), "16:20"), self._count)
        frame.push(frame.at(frame.day(50), "15:10"), self._spill)
        frame.push(frame.at(frame.day(30), "10:15"), self._take_in_what_spoils)
        frame.push(frame.at(frame.day(3), "8:50"), self._order)
        frame.push(frame.at(frame.day(1), "15:40"), self._find_too_little)
        frame.push(frame.at(frame.day(0), "8:01"), self._draft)

    def _wanted(self, moment: datetime) -> list[Wanted]:
        asked = reorder_list(self._frame.session, self._frame.hours.local_day(moment))
        rows = [row for group in asked for row in group.rows if row.line is not None and not row.coming]
        return [
            Wanted(row.material.id, row.line.packs, row.line.why) for row in rows if row.line and row.line.packs > 0
        ]

    def _draft(self, moment: datetime) -> None:
        wanted = self._wanted(moment)
        if wanted:
            draft_orders(Act(self._frame.session, self._frame.desk, moment), wanted)

    def _order(self, moment: datetime) -> None:
        frame, today = self._frame, self._frame.hours.local_day(moment)
        self._draft(moment)
        for draft in list_drafts(frame.session):
            sent = send_order(Act(frame.session, frame.desk, moment + timedelta(minutes=6)), draft.order.id)
            if today <= frame.day(_NO_ORDERS_FOR):
                due = frame.after(today, 2)
                frame.push(frame.at(due, "10:05"), partial(self._come, sent.id, due))

    def _line(self, each: OrderedLine, packs: int, due: date) -> Came:
        """So many packs of what was ordered, now and then dearer than before, fresh on the day they were due."""
        rng, material = self._frame.rng, each.material
        dearer = rng.choice((1000, 1000, 1000, 1020, 1045))
        return Came(
            material.id,
            packs * (material.pack_price_minor or 0) * dearer // 1000,
            packs_quarters=4 * packs,
            expires_on=due + timedelta(days=material.shelf_life_days) if material.shelf_life_days else None,
            mark=f"{rng.choice('KLMR')}{rng.randint(1000, 9999)}",
            order_line_id=each.line.id,
        )

    def _come(self, order_id: int, due: date, moment: datetime) -> None:
        """What was ordered comes; once the carrier brings half of it, and the rest two days later."""
        frame = self._frame
        lines: list[Came] = []
        order = get_order(frame.session, order_id)
        is_half = not self._has_halved and len(order.lines) > 1 and due >= frame.day(_PART_DELIVERY_DAYS_AGO)
        self._has_halved = self._has_halved or is_half
        for each in order.lines[: len(order.lines) // 2] if is_half else order.lines:
            packs = each.line.packs - each.came_thousandths // each.material.pack_thousandths
            if packs <= 0:
                continue
            lines.append(self._line(each, packs, due))
        if not lines:
            return
        note = f"D{frame.rng.randint(10000, 99999)}"
        taken = take_in_delivery(
            Act(frame.session, frame.desk, moment),
            supplier_id=order.order.supplier_id,
            lines=lines,
            order_id=order_id,
            note_number=note,
            freight_minor=900,
        )
        if not taken.is_order_closed:
            rest = frame.after(due, 2)
            frame.push(frame.at(rest, "11:20"), partial(self._come, order_id, rest))

    def _open_packs(self, moment: datetime) -> None:
        """What the shop uses up: a box of this and that is opened."""
        floor = [one for one in list_materials(self._frame.session) if one.way == "shop_supplies"]
        for material in self._frame.rng.sample(floor, 2):
            if material.on_hand_thousandths >= material.pack_thousandths:
                open_pack(Act(self._frame.session, self._frame.technicians[0], moment), material)

    def _count(self, moment: datetime) -> None:
        """A dozen kinds are looked at; the measured ones are rarely what the book says."""
        materials = [one for one in list_materials(self._frame.session) if one.on_hand_thousandths > 0]
        seen = []
        for material in self._frame.rng.sample(materials, min(12, len(materials))):
            is_exact = material.unit == Unit.PIECE
            share = 100 if is_exact else self._frame.rng.randint(93, 102)
            seen.append((material.id, material.on_hand_thousandths * share // 100))
        count_materials(Act(self._frame.session, self._frame.desk, moment), seen, reason="Monthly count")

    def _spill(self, moment: datetime) -> None:
        who = self._frame.technicians[-1]
        waste_stock(Act(self._frame.session, who, moment), self.material("base_reducer"), 600_000, cause="knocked over")

    def _take_in_what_spoils(self, moment: datetime) -> None:
        """An activator from the end of the supplier's rack: it is good for two weeks from today."""
        frame, material = self._frame, self.material("clear_activator")
        good_till = frame.days[-1] + timedelta(days=13)
        came = Came(material.id, 23800, packs_quarters=8, expires_on=good_till, mark="R4410")
        take_in_delivery(Act(frame.session, frame.desk, moment), supplier_id=self._suppliers[0].id, lines=[came])
        keep_pot(
            Act(frame.session, frame.technicians[-1], moment), name="Silver base, leftover", amount_thousandths=240_000
        )
        keep_pot(
            Act(frame.session, frame.technicians[-1], moment), name="White base, leftover", amount_thousandths=410_000
        )

    def _find_too_little(self, moment: datetime) -> None:
        seen = [(self.material("surfacer").id, 350_000), (self.material("tape").id, 3_000)]
        count_materials(Act(self._frame.session, self._frame.desk, moment), seen, reason="The can felt light")
