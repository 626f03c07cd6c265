"""What the invented shop pays beside its jobs: rent and the like, the terminal, and the weeks of owner and desk."""

from collections.abc import Iterable
from datetime import datetime

from sqlalchemy.orm import Session

from shopbook.queries.shop.rates import FROM_THE_FIRST
from shopbook.services.act import Act
from shopbook.services.shop.fixed_costs import add_fixed_cost
from shopbook.services.shop.paid_weeks import set_paid_week
from shopbook.services.shop.rates import set_settings
from shopbook.trade.permissions import THE_PROGRAM, Actor, Role
from shopbook.trade.results.fixed_costs import Per
from shopbook.trade.settings import SettingName

FIXED = (
    ("Rent", 210_000, Per.MONTH),
    ("Insurance", 420_000, Per.YEAR),
    ("Power and water", 114_000, Per.QUARTER),
    ("Phone and software", 16_500, Per.MONTH),
    ("Accountant", 180_000, Per.YEAR),
)
"""Invented figures of a shop of four."""
CARD_FEE = [2_600, 10]
OWNER_MINUTES, DESK_MINUTES = 40 * 60, 25 * 60


def set_house_costs(session: Session, began: datetime, people: Iterable[Actor]) -> None:
    """All of it from the first day: owner and desk by the week, the floor by attendance."""
    act = Act(session, THE_PROGRAM, began)
    for name, amount, per in FIXED:
        add_fixed_cost(act, name=name, amount_minor=amount, per=per, from_on=FROM_THE_FIRST)
    set_settings(act, {SettingName.CARD_FEES: {"card": CARD_FEE}}, FROM_THE_FIRST)
    for one in people:
        if one.roles != {Role.TECHNICIAN}:
            minutes = OWNER_MINUTES if Role.OWNER in one.roles else DESK_MINUTES
            set_paid_week(act, one.person_id or 0, weekly_minutes=minutes, weekdays=range(5), from_on=FROM_THE_FIRST)
