"""What some days cost the shop beside its jobs: fixed costs, card fees, and wages that no job carries."""

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from sqlalchemy import func, select
from sqlalchemy.orm import Session, aliased

from shopbook.models.diary import Absence
from shopbook.models.floor import ClockEntry, ClockShare
from shopbook.models.money import Payment
from shopbook.models.shop import DatedCost
from shopbook.queries.floor.hours import Sheets, sheets_to_the_end
from shopbook.queries.shop.house_costs import (
    as_fixed,
    card_fees_among,
    last_by,
    on_costs_among,
)
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.billing.pay_means import MOVED_ALONG
from shopbook.trade.results.break_even import HouseCosts
from shopbook.trade.results.card_fees import NEVER_TAKEN, TAKEN_KINDS, MeansFees, PaidBy, sum_fees
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


def read_house_costs(shop: ShopOn, first: date, last: date, sheets: Sheets | None = None) -> HouseReading:
    """What the days from `first` to `last`, both included, cost beside the jobs; eleven statements and the shop's own,
    fewer where the `sheets` of these days are read already.

    Of a month that is not over, `last` is today: fixed costs and weekly hours then count up to it, as sales do.
    """
    sheets = sheets_to_the_end(shop, first, last) if sheets is None else sheets
    session = shop.session
    return HouseReading(
        fixed=_fixed(shop.fixed_costs, first, last),
        fees=sum_fees(_payments(session, first, last), card_fees_among(shop.setting_lines)),
        wages=_wages(shop.on(last), first, last, sheets),
    )


def owners_labour(
    session: Session, owners: Collection[int], jobs: Collection[int] | None, first: date, last: date
) -> dict[int, dict[date, int]]:
    """What these people's own labour on jobs (these ids, or all) cost, by job and day; one statement."""
    if not owners or (jobs is not None and not jobs):
        return {}
    asked = (
        select(ClockShare.job_id, ClockEntry.on, func.sum(ClockShare.cost_minor))
        .join(ClockEntry, ClockEntry.id == ClockShare.entry_id)
        .where(ClockEntry.person_id.in_(list(owners)), ClockEntry.on.between(first, last))
        .group_by(ClockShare.job_id, ClockEntry.on)
    )
    found: dict[int, dict[date, int]] = defaultdict(dict)
    for job_id, on, cost in session.execute(asked if jobs is None else asked.where(ClockShare.job_id.in_(list(jobs)))):
        found[job_id][on] = int(cost)
    return dict(found)


def _fixed(rows: Iterable[DatedCost], first: date, last: date) -> tuple[tuple[str, int], ...]:
    sums: dict[str, int] = defaultdict(int)
    for row in rows:
        if row.struck_at is None:
            sums[row.name] += as_fixed(row).share_minor(first, last)
    return tuple(sorted(((name, share) for name, share in sums.items() if share), key=lambda one: (-one[1], one[0])))


def _payments(session: Session, first: date, last: date) -> Iterator[PaidBy]:
    """Money that came over these days, and lines that say that some of it never did, with the day it was written on."""
    taken = aliased(Payment)
    rows = session.execute(
        select(Payment.kind, Payment.means, Payment.amount_minor, Payment.on, taken.on)
        .outerjoin(taken, taken.id == Payment.reverses_id)
        .where(Payment.on.between(first, last), Payment.kind.in_(TAKEN_KINDS | NEVER_TAKEN))
        .where(Payment.reason != MOVED_ALONG)
        .order_by(Payment.id)
    )
    for kind, means, amount, on, taken_on in rows:
        yield PaidBy(means, abs(amount), taken_on or on, takes_back=kind in NEVER_TAKEN)


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


def _wages(shop: ShopOn, first: date, last: date, sheets: Sheets) -> Wages:
    """Everybody who was paid or clocked work, and every owner who is here, by name."""
    worked, owners = _read_worked(shop, first, last, sheets), shop.owners
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


def _read_worked(shop: ShopOn, first: date, last: date, sheets: Sheets) -> _Worked:
    session = shop.session
    here: dict[int, dict[date, int]] = defaultdict(dict)
    for (person_id, on), sheet in sheets.items():
        here[person_id][on] = sheet.here_minutes
    unpaid: dict[int, dict[date, int]] = defaultdict(dict)
    away = select(Absence.person_id, Absence.on, Absence.minutes_away)
    for person_id, on, minutes in session.execute(away.where(Absence.on.between(first, last), ~Absence.is_paid)):
        unpaid[person_id][on] = minutes
    return _Worked(here, unpaid, shop.paid_weeks, shop.person_costs, _clocked(session, first, last))


def _clocked(session: Session, first: date, last: date) -> dict[int, int]:
    """What each person's labour clocked on jobs cost; one statement."""
    rows = session.execute(
        select(ClockEntry.person_id, func.sum(ClockShare.cost_minor))
        .join(ClockShare, ClockShare.entry_id == ClockEntry.id)
        .where(ClockEntry.on.between(first, last))
        .group_by(ClockEntry.person_id)
    )
    return {person_id: int(cost) for person_id, cost in rows}
