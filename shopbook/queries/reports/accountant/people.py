"""The rows of people: what an hour costs, paid hours and wages, hours by week."""

from collections import defaultdict
from collections.abc import Iterator
from datetime import date, time, timedelta
from itertools import groupby

from sqlalchemy import select

from shopbook.models.shop import Person, PersonCost
from shopbook.queries.floor.hours import Sheets, day_sheets
from shopbook.queries.reports.accountant.reading import FlatValues, read_rows
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.floor.hours import DaySheet, labour_cost


def list_flat_person_costs(shop: ShopOn) -> Iterator[FlatValues]:
    """Every figure of the cost of an hour that applies from the shop's day or before; one statement."""
    asked = (
        select(
            PersonCost.person_id,
            Person.name.label("person"),
            PersonCost.from_on,
            PersonCost.cost_minor.label("cost_per_hour"),
        )
        .join(Person, Person.id == PersonCost.person_id)
        .where(PersonCost.from_on <= shop.day)
    )
    return read_rows(shop.session, asked.order_by(PersonCost.person_id, PersonCost.from_on, PersonCost.id))


def list_flat_paid_hours(shop: ShopOn, first: date) -> Iterator[FlatValues]:
    """Each person's days up to the shop's, by attendance, at what an hour cost then; a fixed number of statements."""
    costs: dict[int, list[FlatValues]] = defaultdict(list)
    for row in list_flat_person_costs(shop):
        costs[row["person_id"]].append(row)
    for (person_id, on), sheet in _sheets(shop, first).items():
        cost = next((row["cost_per_hour"] for row in reversed(costs[person_id]) if row["from_on"] <= on), 0)
        yield {
            "person_id": person_id,
            "person": shop.person_names.get(person_id, ""),
            "on": on,
            "minutes": sheet.here_minutes,
            "cost_per_hour": cost,
            "wages": labour_cost(sheet.here_minutes, cost),
        }


def list_flat_hours(shop: ShopOn, first: date) -> Iterator[FlatValues]:
    """Each person's minutes by ISO week up to the shop's day; a fixed number of statements.

    From Wednesday Nov 4 to Tuesday Nov 10 there are two weeks, of Nov 4 to 8 and of Nov 9 to 10.
    """
    weeks = groupby(_sheets(shop, first).items(), key=lambda item: (item[0][0], item[0][1].isocalendar()[:2]))
    for (person_id, (year, week)), items in weeks:
        monday = date.fromisocalendar(year, week, 1)
        yield {
            "person_id": person_id,
            "person": shop.person_names.get(person_id, ""),
            "week": f"{year}-W{week:02d}",
            "first_on": max(first, monday),
            "last_on": min(shop.day, monday + timedelta(days=6)),
            **_minutes([sheet for _, sheet in items]),
        }


def _minutes(sheets: list[DaySheet]) -> dict[str, int]:
    return {
        "here_minutes": sum(sheet.here_minutes for sheet in sheets),
        "on_cars_minutes": sum(sheet.on_cars_minutes for sheet in sheets),
        "elsewhere_minutes": sum(sheet.elsewhere_minutes for sheet in sheets),
        "to_place_minutes": sum(sheet.to_place_minutes for sheet in sheets),
    }


def _sheets(shop: ShopOn, first: date) -> Sheets:
    """Days in order of person and day. Anybody who did not clock out counts as here until closing, as in the month."""
    midnight = shop.opening.moment(shop.day + timedelta(days=1), time(0))
    return day_sheets(shop.session, first, shop.day, midnight, shop.opening)
