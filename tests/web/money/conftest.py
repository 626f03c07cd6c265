"""The job whose money the pages of this folder are about, and the quote that others of them are about."""

from datetime import UTC, datetime, timedelta

import pytest
from flask import Flask
from sqlalchemy.orm import Session

from shopbook.models.session import make_engine, transaction
from tests.clients import ShopClient
from tests.conftest import NOON
from tests.makers import make_customer
from tests.makers.billing import make_agreed_job
from tests.makers.jobs import make_planned_job
from tests.makers.quotes import make_quote

QUOTED_AT = datetime(2026, 11, 5, 14, 0, tzinfo=UTC)


@pytest.fixture
def job_number(app: Flask) -> int:
    """An agreed job of 826.16, ready since yesterday."""
    engine = make_engine(app.config["SQLALCHEMY_DATABASE_URI"])
    with Session(engine) as session, transaction(session):
        number = make_agreed_job(
            session, NOON, agreed_at=NOON - timedelta(days=3), ready_at=NOON - timedelta(days=1)
        ).number
    engine.dispose()
    return number


@pytest.fixture
def quoted(app: Flask, client: ShopClient) -> ShopClient:
    """A book with one planned job of two panels and its draft quote, number 1."""
    engine = make_engine(app.config["SQLALCHEMY_DATABASE_URI"])
    with Session(engine) as opened, transaction(opened):
        make_customer(opened, "Millbrook Mutual", "555-0199", kind="insurer")
        make_quote(opened, make_planned_job(opened, "right_quarter", "rear_bumper", at=QUOTED_AT), at=QUOTED_AT)
    engine.dispose()
    return client
