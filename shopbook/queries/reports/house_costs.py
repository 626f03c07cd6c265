"""What some days cost the shop beside its jobs: fixed costs, card fees, and wages that no job carries."""

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from shopbook.models.shop import DatedCost
from shopbook.queries.floor.hours import Sheets, sheets_to_the_end
from shopbook.queries.jobs.whole import Clocked
from shopbook.queries.reports.house_read import HouseRead, read_house
from shopbook.queries.shop.house_costs import (
    as_fixed,
    card_fees_among,
    last_by,
    on_costs_among,
)
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.results.break_even import HouseCosts
from shopbook.trade.results.card_fees import MeansFees, sum_fees
from shopbook.trade.results.paid_hours import PaidWeek, PersonDays, PersonPaid, Wages, paid_hours


@dataclass(frozen=True, slots=True)
class HouseReading:
    """Some days of the shop beside its jobs: each fixed cost by name, largest first, card fees by means, wages."""

    fixed: tuple[tuple[str, int], ...]
    fees: tuple[MeansFees, ...]
    wages: Wages

    def costs(self, shelf_minor: int) -> HouseCosts:
        """Their sums, with what the shelf lost that no job carries."""
        return HouseCosts(
            wages_no_job_minor=self.wages.no_job_minor,
            fixed_minor=sum(amount for _, amount in self.fixed),
            card_fees_minor=sum(one.fee_minor for one in self.fees),
            shelf_minor=shelf_minor,
            own_pay_minor=self.wages.own_pay_minor,
        )


def read_house_costs(
    shop: ShopOn, first: date, last: date, read: HouseRead | None = None, sheets: Sheets | None = None
) -> HouseReading:
    """What the days from `first` to `last`, both included, cost beside the jobs; five statements and the shop's own,
    none but the shop's where these days are `read` already. `sheets` are their hours where they are summed already.

    Of a month that is not over, `last` is today: fixed costs and weekly hours then count up to it, as sales do.
    """
    read = read_house(shop.session, first, last) if read is None else read
    sheets = sheets_to_the_end(shop, first, last, read.hours) if sheets is None else sheets
    payments = (paid for on, paid in read.payments if first <= on <= last)
    return HouseReading(
        fixed=_fixed(shop.fixed_costs, first, last),
        fees=sum_fees(payments, card_fees_among(shop.setting_lines)),
        wages=_wages(shop.on(last), first, last, read, sheets),
    )


def owners_labour(clocked: Iterable[Clocked], owners: Collection[int]) -> dict[int, dict[date, int]]:
    """What these people's own labour on jobs cost, by job and day."""
    found: dict[int, dict[date, int]] = defaultdict(lambda: defaultdict(int))
    for one in clocked:
        if one.person_id in owners:
            found[one.job_id][one.on] += one.cost_minor
    return {job_id: dict(days) for job_id, days in found.items()}


def _fixed(rows: Iterable[DatedCost], first: date, last: date) -> tuple[tuple[str, int], ...]:
    sums: dict[str, int] = defaultdict(int)
    for row in rows:
        if row.struck_at is None:
            sums[row.name] += as_fixed(row).share_minor(first, last)
    return tuple(sorted(((name, share) for name, share in sums.items() if share), key=lambda one: (-one[1], one[0])))


class _Worked(NamedTuple):
    """What is read of everybody at once: each by person."""

    here: Mapping[int, Mapping[date, int]]
    unpaid: Mapping[int, Mapping[date, int]]
    weeks: Mapping[int, list[PaidWeek]]
    costs: Mapping[int, list[tuple[date, int]]]
    clocked: Mapping[int, int]

    def of(self, person_id: int, on_costs: Callable[[date], int]) -> PersonDays:
        """One person's days."""
        return PersonDays(
            self.weeks.get(person_id, ()),
            self.here.get(person_id, {}),
            self.unpaid.get(person_id, {}),
            last_by(self.costs.get(person_id, ())),
            on_costs,
        )

    def is_known(self, person_id: int, on: date, minutes: int) -> bool:
        """Whether somebody said what an hour costs, and how many are paid unless it costs nothing."""
        costs = [cost for from_on, cost in self.costs.get(person_id, ()) if from_on <= on]
        return bool(costs) and bool(minutes or person_id in self.weeks or not costs[-1])


def _wages(shop: ShopOn, first: date, last: date, read: HouseRead, sheets: Sheets) -> Wages:
    """Everybody who was paid or clocked work, and every owner who is here, by name."""
    worked, owners = _worked(shop, first, last, read, sheets), shop.owners
    here_now = {person.id for person in shop.people}
    days, on_costs = shop.opening.working_days(first, last), on_costs_among(shop.setting_lines)
    found = []
    for person_id in {*worked.here, *worked.weeks, *worked.clocked, *(owners & here_now)}:
        is_owner, name = person_id in owners, shop.person_names.get(person_id, "")
        # What the owner pays on top of the own pay is the owner's to say with it.
        paid = paid_hours(worked.of(person_id, (lambda _: 0) if is_owner else on_costs), days)
        is_known = person_id not in here_now or worked.is_known(person_id, last, paid.minutes)
        found.append(PersonPaid(person_id, name, is_owner, paid, worked.clocked.get(person_id, 0), is_known))
    return Wages(tuple(sorted(found, key=lambda one: (one.name, one.person_id))))


def _worked(shop: ShopOn, first: date, last: date, read: HouseRead, sheets: Sheets) -> _Worked:
    here: dict[int, dict[date, int]] = defaultdict(dict)
    for (person_id, on), sheet in sheets.items():
        here[person_id][on] = sheet.here_minutes
    unpaid: dict[int, dict[date, int]] = defaultdict(dict)
    for person_id, on, minutes in read.unpaid:
        if first <= on <= last:
            unpaid[person_id][on] = minutes
    clocked: dict[int, int] = defaultdict(int)
    for person_id, on, cost in read.clocked:
        if first <= on <= last:
            clocked[person_id] += cost
    return _Worked(here, unpaid, shop.paid_weeks, shop.person_costs, clocked)
