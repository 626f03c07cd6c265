"""Every payer of the demo has the account that Money lists, on the day and a year later."""

from shopbook.queries.shop.days import day_of
from tests.accounts import check_accounts, money_says
from tests.journeys.hands import Shop


def test_every_account_of_the_demo_is_what_money_lists(recent_shop: Shop) -> None:
    with recent_shop.book() as session:
        assert len(money_says(session)) > 3
        check_accounts(session, day_of(session, recent_shop.clock()), {})
