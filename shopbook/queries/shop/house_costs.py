"""What the shop pays beside its jobs, as the owner set it: fixed costs, how people are paid, card fees, on-costs."""

from collections.abc import Callable, Iterable, Mapping
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.shop import DatedCost, PersonCost, PersonWeek
from shopbook.queries.shop.rates import SettingLine
from shopbook.trade.errors import NotFound
from shopbook.trade.results.card_fees import CardFee
from shopbook.trade.results.fixed_costs import FixedCost, Per
from shopbook.trade.results.paid_hours import PaidWeek
from shopbook.trade.settings import DEFAULTS, SettingName


def get_fixed_cost(session: Session, cost_id: int) -> DatedCost:
    """One fixed cost, removed or not; NotFound when there is none."""
    found = session.get(DatedCost, cost_id)
    if found is None:
        raise NotFound("That fixed cost is not in the book.")
    return found


def list_fixed_costs(session: Session) -> list[DatedCost]:
    """Every fixed cost, also ended and removed ones, by name and day; one statement."""
    return list(session.scalars(select(DatedCost).order_by(DatedCost.name, DatedCost.from_on, DatedCost.id)))


def as_fixed(row: DatedCost) -> FixedCost:
    """A kept fixed cost as it is reckoned with."""
    return FixedCost(row.name, row.amount_minor, Per(row.per), row.from_on, row.until_on)


def list_paid_weeks(session: Session) -> dict[int, list[PaidWeek]]:
    """How each person is paid, by person, in the order in which a later line wins; one statement."""
    found: dict[int, list[PaidWeek]] = {}
    for row in session.scalars(select(PersonWeek).order_by(PersonWeek.from_on, PersonWeek.id)):
        week = PaidWeek(row.from_on, row.weekly_minutes, frozenset(row.weekdays))
        found.setdefault(row.person_id, []).append(week)
    return found


def list_person_costs(session: Session) -> dict[int, list[tuple[date, int]]]:
    """(from day, cost of an hour) by person, in the order in which a later line wins; one statement."""
    found: dict[int, list[tuple[date, int]]] = {}
    for line in session.scalars(select(PersonCost).order_by(PersonCost.from_on, PersonCost.id)):
        found.setdefault(line.person_id, []).append((line.from_on, line.cost_minor))
    return found


def last_by(lines: Iterable[tuple[date, int]], missing: int = 0) -> Callable[[date], int]:
    """The last figure that applies on a day; `missing` before the first. Lines in the order in which a later wins."""
    newest_first = list(reversed(list(lines)))
    return lambda day: next((figure for from_on, figure in newest_first if from_on <= day), missing)


def card_fees_among(lines: Iterable[SettingLine]) -> list[CardFee]:
    """The fees by means, of setting lines that are read already; a means that a later line leaves out costs nothing."""
    found: list[CardFee] = []
    known: set[str] = set()
    for line in lines:
        if line.name != SettingName.CARD_FEES:
            continue
        fees: Mapping[str, tuple[int, int]] = line.value
        known |= set(fees)
        found += [CardFee(means, *fees.get(means, (0, 0)), line.from_on) for means in sorted(known)]
    return found


def on_costs_among(lines: Iterable[SettingLine]) -> Callable[[date], int]:
    """The percentage on top of wages on a day, in tenths of a percent, of setting lines that are read already."""
    dated = [(line.from_on, line.value) for line in lines if line.name == SettingName.ON_COSTS_PERMILLE]
    return last_by(dated, DEFAULTS[SettingName.ON_COSTS_PERMILLE])
