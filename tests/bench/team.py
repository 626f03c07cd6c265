"""Who does the work of the books to measure on: the demo's floor and desk, made regular enough to be repeated."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from functools import partial

from sqlalchemy import select

from shopbook.commands.demo.cars import describe_car
from shopbook.commands.demo.desk import Desk
from shopbook.commands.demo.floor import CarInHand, Floor, Step
from shopbook.commands.demo.frame import Frame, Row
from shopbook.commands.demo.keys import Keys
from shopbook.models.customers import Customer, Vehicle
from shopbook.models.money import Invoice
from shopbook.models.shelf import Material
from shopbook.queries.money.invoices import payer_standings
from shopbook.services.act import Act
from shopbook.services.customers import add_customer, add_vehicle
from shopbook.services.postings import Source
from shopbook.services.shelf.stock import draw_stock
from shopbook.trade.car.pictures import KeptPicture
from shopbook.trade.catalogue.kinds import WayUsed
from shopbook.trade.permissions import Actor
from tests.bench.shop import mark_of, phone_of

_SEVERAL_AT_ONCE = 0.55
"""How often one clock stands on several stages, so that a job comes to about fifteen clock entries."""
_PIECES_A_STAGE = (2, 2, 3, 3, 3)
"""Pieces that a stage takes beyond its plan, one of these, so that a job comes to about fifty movements."""


class Benches(Floor):
    """Some stages under a clock of their own, and what it takes of the pieces on the shelf written down."""

    def __init__(self, frame: Frame) -> None:
        super().__init__(frame)
        self._pieces = list(
            frame.session.scalars(select(Material).where(Material.way == WayUsed.PIECE).order_by(Material.id))
        )

    def _together(self, moment: datetime, car: CarInHand, ready: list[Step], who: Actor) -> list[Step]:
        return super()._together(moment, car, ready, who) if self._frame.rng.random() < _SEVERAL_AT_ONCE else ready[:1]

    def _finish(self, moment: datetime, who: Actor) -> None:
        task = self._tasks[who.name]
        super()._finish(moment, who)
        for step in task.steps:
            for piece in self._frame.rng.sample(self._pieces, self._frame.rng.choice(_PIECES_A_STAGE)):
                source = Source(job_id=task.car.job_id, stage_id=step.id)
                draw_stock(Act(self._frame.session, who, moment), piece, 1000, source)


class MarkedDesk(Desk):
    """A desk that knows the firms of the stretches before, and marks the names and plates of its own."""

    def __init__(
        self,
        frame: Frame,
        floor: Floor,
        rows: Sequence[Row],
        pictures: Mapping[Row, Sequence[KeptPicture]],
        stretch: int,
    ) -> None:
        self._stretch = stretch
        known = frame.session.scalars(select(Customer).where(Customer.kind != "private"))
        self._firms = {customer.name: customer for customer in known}
        super().__init__(frame, floor, rows, pictures)
        self._keys = _PaidSoon(frame)

    def _customer(self, name: str, moment: datetime) -> Customer:
        if name in self._firms:
            return self._firms[name]
        if name not in self._people:
            phone = f"{phone_of(self._stretch)}{len(self._people):04}"
            mail = f"{name.lower().replace(' ', '.')}@example.com"
            act = Act(self._frame.session, self._frame.desk, moment)
            self._people[name] = add_customer(act, name=name, phone=phone, mail=mail, kind="private")
        return self._people[name]

    def _vehicle(self, row: Row, owner: Customer, moment: datetime) -> Vehicle:
        # Firms bring another car each time: theirs are many, and grow with the years.
        key = (row.who, row.car if row.who not in self._firms else str(len(self._cars)))
        if key not in self._cars:
            plate = f"{mark_of(self._stretch).upper()} {100 + len(self._cars)}"
            given = describe_car(row.car, self._frame.rng, self._frame.country) | {"plate": plate}
            act = Act(self._frame.session, self._frame.desk, moment)
            self._cars[key] = add_vehicle(act, customer_id=owner.id, **given)
        return self._cars[key]


class _PaidSoon(Keys):
    """Insurers pay on the working day after the keys, so that nothing of a stretch is left when the next begins."""

    def _later(self, row: Row, owner: Customer, invoice: Invoice, today: date) -> None:
        shares = payer_standings(self._frame.session, [invoice.id])[invoice.id]
        for share in shares:
            if share.customer_id is not None and share.customer_id != owner.id:
                self._when(today, 1, "14:10", partial(self._pay, share.customer_id, invoice, 1000))
