"""What a payer owes: the same as Money says today, the same for a day a year later, and every line leads to the end."""

from datetime import date, timedelta
from pathlib import Path

import pytest
from sqlalchemy import select

from shopbook.models.customers import Customer
from shopbook.models.session import transaction
from tests.accounts import check_accounts, money_says
from tests.makers.random_desk import desk

STEPS = 45
ZONE = timedelta(hours=-5)
"""Of the makers' shop."""


def history(url: str, seed: int) -> None:
    with desk(url, seed) as shop:
        kept: dict[tuple[int, date], tuple[int, int]] = {}
        for _ in range(STEPS):
            shop.step()
            day = (shop.now + ZONE).date()
            with transaction(shop.session):
                says = money_says(shop.session)
                kept |= {(key, day): says.get(key, (0, 0)) for key in shop.session.scalars(select(Customer.id))}
        with transaction(shop.session):
            check_accounts(shop.session, day, kept)


@pytest.mark.parametrize("seed", [*range(4), *(pytest.param(seed, marks=pytest.mark.demo) for seed in range(4, 60))])
def test_whatever_the_desk_does_the_account_of_any_day_is_what_money_said_then(book_file: Path, seed: int) -> None:
    history(f"sqlite:///{book_file}", seed)


@pytest.mark.parametrize("seed", [101, 102])
def test_the_same_holds_on_postgresql(postgres_url: str, seed: int) -> None:
    history(postgres_url, seed)
