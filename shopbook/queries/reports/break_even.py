"""Break-even of some days: what was sold, given by whoever read it, beside what the shop cost."""

from dataclasses import dataclass
from datetime import date

from shopbook.queries.floor.hours import Sheets
from shopbook.queries.reports.house_costs import HouseReading, read_house_costs
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.results.break_even import BreakEven, SoldWork, break_even


@dataclass(frozen=True, slots=True)
class EvenReading:
    """What the shop cost over some days and what an hour had to bring."""

    house: HouseReading
    even: BreakEven
    owner_labour_minor: int


def read_break_even(
    shop: ShopOn, first: date, last: date, sold: SoldWork, shelf_minor: int, sheets: Sheets | None = None
) -> EvenReading:
    """Break-even of the days from `first` to `last`: `sold` is what their invoices brought and what those jobs cost,
    `shelf_minor` what the shelf lost that no job carries. The statements of `read_house_costs`."""
    house = read_house_costs(shop, first, last, sheets)
    return EvenReading(house, break_even(sold, house.costs(shelf_minor)), sold.owner_labour_minor)
