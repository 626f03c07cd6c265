"""What the invented shop pays beside its jobs: rent and the like, the terminal, and the weeks of owner and desk."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from shopbook.queries.shop.rates import FROM_THE_FIRST
from shopbook.services.act import Act
from shopbook.services.shop.fixed_costs import add_fixed_cost
from shopbook.services.shop.paid_weeks import set_paid_week
from shopbook.services.shop.rates import set_settings
from shopbook.trade.permissions import Actor, Role
from shopbook.trade.results.fixed_costs import Per
from shopbook.trade.settings import SettingName

OWNER_MINUTES, DESK_MINUTES = 40 * 60, 20 * 60


@dataclass(frozen=True, slots=True)
class DemoHouse:
    """Invented figures of a shop of four: fixed costs by name, the terminal's fee, what comes on top of wages."""

    fixed: tuple[tuple[str, int, Per], ...]
    card_fee: tuple[int, int]
    on_costs_permille: int


def _house(rent: int, insurance: int, power: int, phone: int, accountant: int) -> tuple[tuple[str, int, Per], ...]:
    return (
        ("Rent", rent, Per.MONTH),
        ("Insurance", insurance, Per.YEAR),
        ("Power and water", power, Per.QUARTER),
        ("Phone and software", phone, Per.MONTH),
        ("Accountant", accountant, Per.YEAR),
    )


HOUSES = {
    "us": DemoHouse(_house(147_500, 420_000, 114_000, 16_500, 180_000), (2_600, 10), 80),
    "gb": DemoHouse(_house(128_000, 252_000, 72_000, 9_500, 114_000), (1_700, 5), 100),
}
"""By country, in minor units; the fee in thousandths of a percent and for each payment."""


def set_house_costs(act: Act, country: str, people: Iterable[Actor], from_on: date) -> None:
    """All of it from the day on which the shop begins: owner and desk by the week, the floor by attendance."""
    house = HOUSES[country]
    for name, amount, per in house.fixed:
        add_fixed_cost(act, name=name, amount_minor=amount, per=per, from_on=from_on)
    rates = {
        SettingName.CARD_FEES: {"card": list(house.card_fee)},
        SettingName.ON_COSTS_PERMILLE: house.on_costs_permille,
    }
    set_settings(act, rates, FROM_THE_FIRST)
    for one in people:
        if one.roles != {Role.TECHNICIAN}:
            minutes = OWNER_MINUTES if Role.OWNER in one.roles else DESK_MINUTES
            set_paid_week(act, one.person_id or 0, weekly_minutes=minutes, weekdays=range(5), from_on=from_on)
