"""A span of days read once: its cars, hours sold, the shelf and the house, for every section that is made from them."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from shopbook.models.money import MonthClose
from shopbook.queries.reports.cars_read import CarsRead, read_cars
from shopbook.queries.reports.hours_sold import HoursSold, read_hours_sold
from shopbook.queries.reports.house_read import HouseRead, read_house
from shopbook.queries.shelf.movements import ShelfRead, read_shelf
from shopbook.queries.shop.shop_on import ShopOn


@dataclass(frozen=True, slots=True)
class SpanRead:
    """What the sums of any days of the span are made from. The edge makes it once and hands it down."""

    shop: ShopOn
    cars: CarsRead
    hours: HoursSold
    shelf: ShelfRead
    house: HouseRead


def read_span(shop: ShopOn, first: date, last: date, closings: Sequence[MonthClose] | None = None) -> SpanRead:
    """The days from `first`, a month's first, to `last`: of one month, or of several; a fixed number of statements.

    `closings` are the standing ones of these months and of the one before, where they are read already.
    """
    cars = read_cars(shop, first, last, closings)
    clocked = [(one.person_id, one.on, one.cost_minor) for one in cars.clocked if first <= one.on]
    return SpanRead(
        shop,
        cars,
        read_hours_sold(shop.session, cars.papers, first),
        read_shelf(shop.session, first, last),
        read_house(shop.session, first, last, clocked),
    )
