"""Four weeks of the invented shop told through the services: bought, worked, paid, and the shelf counted to nothing."""

from datetime import date, datetime, timedelta
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.commands.demo.cars import keep_sketches
from shopbook.commands.demo.frame import Frame
from shopbook.config import Config
from shopbook.models.session import transaction
from shopbook.models.shop import Person
from shopbook.queries.shelf.materials import list_materials
from shopbook.queries.shelf.orders import get_order
from shopbook.queries.shop.book import get_book
from shopbook.queries.shop.opening import opening_hours_on
from shopbook.queries.shop.people import get_actor
from shopbook.services.act import Act
from shopbook.services.floor.troubles import settle_floor
from shopbook.services.shelf.counts import count_materials
from shopbook.services.shelf.deliveries import Came, take_in_delivery
from shopbook.services.shelf.orders import Wanted, draft_orders, send_order
from tests.bench.shop import LENGTH, rows_for
from tests.bench.team import Benches, MarkedDesk


def tell_stretch(session: Session, config: Config, monday: date, until: datetime, jobs: int, number: int) -> None:
    """Tell the four weeks from a Monday on, as far as a moment; a write for each day."""
    rows = rows_for(jobs, number)
    pictures = keep_sketches(config, rows)
    hours = opening_hours_on(session, monday)
    days = hours.working_days(monday, monday + LENGTH - timedelta(days=1))
    people = [get_actor(session, key) for key in session.scalars(select(Person.id).order_by(Person.id))]
    frame = Frame(session, config, until, hours, days, people, get_book(session))
    with transaction(session):
        floor = Benches(frame)
        for day in days:
            frame.push(frame.at(day, "7:45"), lambda at: floor.settle(settle_floor(session, at)))
        for day in days[::5]:
            frame.push(frame.at(day, "7:20"), lambda at: _buy(frame, jobs, at))
        frame.push(frame.at(days[-1], "16:50"), lambda at: _count_to_nothing(frame, at))
        MarkedDesk(frame, floor, rows, pictures, number)
    while frame.has_more():
        with transaction(session):
            frame.do_next_day()
    if frame.now > frame.at(days[-1], "23:00") and frame.agenda:
        raise RuntimeError(f"the stretch is not over at its end: {frame.agenda[0][0]}")


def _buy(frame: Frame, jobs: int, moment: datetime) -> None:
    """Every Monday each material is ordered up to the packs that a week can need, and comes at once."""
    wanted = [
        Wanted(one.id, packs, "for the week")
        for one in list_materials(frame.session)
        if (packs := max(3, jobs) - one.on_hand_thousandths // one.pack_thousandths) > 0
    ]
    for draft in draft_orders(Act(frame.session, frame.desk, moment), wanted):
        sent = send_order(Act(frame.session, frame.desk, moment + timedelta(minutes=2)), draft.id)
        _come(frame, sent.id, moment + timedelta(minutes=20))


def _come(frame: Frame, order_id: int, moment: datetime) -> None:
    order, lines = get_order(frame.session, order_id), []
    for each in order.lines:
        price = each.material.pack_price_minor or 0
        cost = each.line.packs * price * frame.rng.choice((1000, 1000, 1020, 985)) // 1000
        life = each.material.shelf_life_days
        until = frame.hours.local_day(moment) + timedelta(days=life) if life else None
        lines.append(Came(each.material.id, cost, 4 * each.line.packs, expires_on=until, order_line_id=each.line.id))
    given: dict[str, Any] = {"supplier_id": order.order.supplier_id, "order_id": order_id, "freight_minor": 900}
    take_in_delivery(Act(frame.session, frame.desk, moment), lines=lines, **given)


def _count_to_nothing(frame: Frame, moment: datetime) -> None:
    """The shelf ends as it began, with nothing of nothing: what follows may be written again, line for line."""
    left = [(one.id, 0) for one in list_materials(frame.session) if one.on_hand_thousandths]
    count_materials(Act(frame.session, frame.desk, moment), left, reason="Sold off with the end of the season")
