"""A payer's account held against what Money lists, for whatever book a test has."""

from collections import defaultdict
from datetime import date, timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.customers import Customer
from shopbook.queries.money.owed import list_on_account, list_owed
from shopbook.queries.money.payer_account import get_account_standing, get_payer_account
from shopbook.trade.billing.account import AccountStanding

LATER = timedelta(days=365)
BEGIN = date(2026, 1, 1)


def money_says(session: Session) -> dict[int | None, tuple[int, int]]:
    """(still to pay, unused credit) by payer, as Money lists them."""
    sums: dict[int | None, list[int]] = defaultdict(lambda: [0, 0])
    for line in list_owed(session):
        sums[line.customer_id][0] += line.owed_minor
    for row in list_on_account(session):
        sums[row.customer_id][1] += row.free_minor if row.kind != "security" else 0
    return {key: (owed, free) for key, (owed, free) in sums.items()}


def sums(standing: AccountStanding) -> tuple[int, int]:
    return standing.ageing.owed_minor, standing.ageing.on_account_minor


def check_accounts(session: Session, day: date, kept: dict[tuple[int, date], tuple[int, int]]) -> None:
    """Equal to Money on the day and a year later, equal to what any earlier day said then, and every span adds up."""
    says = money_says(session)
    for key in session.scalars(select(Customer.id).where(Customer.merged_into_id.is_(None))):
        expected = says.get(key, (0, 0))
        assert sums(get_account_standing(session, key, day)) == expected
        assert sums(get_account_standing(session, key, day + LATER)) == expected
        for first in (BEGIN, day - timedelta(days=2), day):
            statement = get_payer_account(session, key, first, day).statement
            assert statement.closing_minor == statement.end.balance_minor == expected[0] - expected[1]
            assert (
                statement.opening_minor == get_account_standing(session, key, first - timedelta(days=1)).balance_minor
            )
        kept.setdefault((key, day), expected)
    for (key, then), expected in kept.items():
        if then < day:
            assert sums(get_account_standing(session, key, then)) == expected
