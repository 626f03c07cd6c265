"""The rows of people and of the house: what an hour costs, attendance, paid hours, hours by week, fixed costs."""

from collections.abc import Iterator
from datetime import date, timedelta
from itertools import groupby

from sqlalchemy import select

from shopbook.models.shop import Person, PersonCost
from shopbook.queries.floor.hours import sheets_to_the_end
from shopbook.queries.reports.accountant.reading import FlatValues, read_rows
from shopbook.queries.reports.house_costs import read_house_costs
from shopbook.queries.shop.house_costs import as_fixed, last_by
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


def list_flat_attendance(shop: ShopOn, first: date) -> Iterator[FlatValues]:
    """Each person's days up to the shop's, at what an hour cost then; a fixed number of statements."""
    costs = shop.person_costs
    for (person_id, on), sheet in sheets_to_the_end(shop, first, shop.day).items():
        cost = last_by(costs.get(person_id, ()))(on)
        yield {
            **_named(shop, person_id),
            "on": on,
            "minutes": sheet.here_minutes,
            "cost_per_hour": cost,
            "cost": labour_cost(sheet.here_minutes, cost),
        }


def list_flat_paid_hours(shop: ShopOn, first: date) -> Iterator[FlatValues]:
    """What each person is paid for up to the shop's day, as the month reckons it; a fixed number of statements."""
    for one in read_house_costs(shop, first, shop.day).wages.people:
        yield {
            "person_id": one.person_id,
            "person": one.name,
            "is_owner": one.is_owner,
            "minutes": one.paid.minutes,
            "wages": one.paid.wages_minor,
            "on_costs": one.paid.on_costs_minor,
            "clocked": one.clocked_minor,
        }


def list_flat_fixed_costs(shop: ShopOn, first: date) -> Iterator[FlatValues]:
    """Fixed costs that apply on a day up to the shop's, each with its share of them; one statement.

    Rent of 3,000.00 a month from November 16: 1,500.00 of November.
    """
    for row in shop.fixed_costs:
        is_over = row.until_on is not None and row.until_on < first
        if row.struck_at is None and row.from_on <= shop.day and not is_over:
            yield {
                "fixed_cost_id": row.id,
                "name": row.name,
                "amount": row.amount_minor,
                "per": row.per,
                "from_on": row.from_on,
                "until_on": row.until_on,
                "share": as_fixed(row).share_minor(first, shop.day),
            }


def list_flat_hours(shop: ShopOn, first: date) -> Iterator[FlatValues]:
    """Each person's minutes by ISO week up to the shop's day; a fixed number of statements.

    From Wednesday Nov 4 to Tuesday Nov 10 there are two weeks, of Nov 4 to 8 and of Nov 9 to 10.
    """
    weeks = groupby(
        sheets_to_the_end(shop, first, shop.day).items(), key=lambda item: (item[0][0], item[0][1].isocalendar()[:2])
    )
    for (person_id, (year, week)), items in weeks:
        monday = date.fromisocalendar(year, week, 1)
        yield {
            **_named(shop, person_id),
            "week": f"{year}-W{week:02d}",
            "first_on": max(first, monday),
            "last_on": min(shop.day, monday + timedelta(days=6)),
            **_minutes([sheet for _, sheet in items]),
        }


def _named(shop: ShopOn, person_id: int) -> dict[str, object]:
    return {"person_id": person_id, "person": shop.person_names.get(person_id, "")}


def _minutes(sheets: list[DaySheet]) -> dict[str, int]:
    return {
        "here_minutes": sum(sheet.here_minutes for sheet in sheets),
        "on_cars_minutes": sum(sheet.on_cars_minutes for sheet in sheets),
        "elsewhere_minutes": sum(sheet.elsewhere_minutes for sheet in sheets),
        "to_place_minutes": sum(sheet.to_place_minutes for sheet in sheets),
    }
