"""The job whose money the pages of this folder are about."""

from datetime import timedelta

import pytest
from flask import Flask
from sqlalchemy.orm import Session

from shopbook.models.session import make_engine, transaction
from tests.conftest import NOON
from tests.makers.billing import make_agreed_job


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
