"""Break-even of some days: what was sold, given by whoever read it, beside what the shop cost."""

from dataclasses import dataclass
from datetime import date

from shopbook.queries.floor.hours import Sheets
from shopbook.queries.reports.house_costs import HouseReading, read_house_costs
from shopbook.queries.reports.sold_work import SoldReading, sum_sold
from shopbook.queries.reports.span_read import SpanRead, read_span
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.measures.days import month_bounds, month_of, month_shifted
from shopbook.trade.results.break_even import BreakEven, HourNeeded, break_even, hour_needed
from shopbook.trade.settings import SettingName

MEAN_MONTHS = 3
"""So many full months the break-even at the kerb is the mean of."""


@dataclass(frozen=True, slots=True)
class EvenReading:
    """What the shop cost over some days and what an hour had to bring."""

    house: HouseReading
    even: BreakEven
    owner_labour_minor: int


def read_break_even(
    read: SpanRead, first: date, last: date, sold: SoldReading, sheets: Sheets | None = None
) -> EvenReading:
    """Break-even of the days from `first` to `last`, days of what is `read`: `sold` is what their invoices brought and
    what those jobs cost, `sheets` their hours where they are summed already. No statement but the shop's own."""
    house = read_house_costs(read.shop, first, last, read.house, sheets)
    even = break_even(sold.sold, house.costs(sold.shelf_minor))
    return EvenReading(house, even, sold.sold.owner_labour_minor)


def typed_hour(shop: ShopOn) -> HourNeeded | None:
    """What the owner typed that an hour must bring; None without a figure. No statement beyond the shop's own."""
    said = shop.settings[SettingName.MUST_BRING_MINOR]
    return None if said is None else hour_needed(said, None, ())


def read_hour_needed(shop: ShopOn) -> HourNeeded:
    """What an hour must bring on the shop's day: the figure that the owner typed, else the mean of the last three full
    months."""
    typed = typed_hour(shop)
    if typed is not None:
        return typed
    first = month_bounds(month_shifted(month_of(shop.day), -MEAN_MONTHS))[0]
    last = month_bounds(month_shifted(month_of(shop.day), -1))[1]
    # What closings kept decides what a month opened with, and that is no part of break-even: none is read.
    read = read_span(shop, first, last, closings=())
    mean = read_break_even(read, first, last, sum_sold(read, first, last))
    return hour_needed(None, mean.even, mean.house.wages.unknown)
