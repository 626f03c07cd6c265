"""Hours that stand beside each other on a page agree to the eye: planned, done, over, to go, expected."""

import re

import pytest
from flask import Flask
from sqlalchemy.orm import Session

from shopbook.models.floor import ClockEntry, ClockShare
from shopbook.models.jobs import Job
from shopbook.models.session import transaction
from shopbook.queries.shop.people import find_person_named
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.makers.floor import THURSDAY, at, make_work
from tests.makers.jobs import make_stage
from tests.web.rows_of_page import rows_of

TENTHS = re.compile(r"(\d+\.\d) of (\d+\.\d) h(?:, (\d+\.\d) h over)?")


@pytest.fixture
def overrun(app: Flask) -> ShopClient:
    """A job of one stage planned at 740 minutes, on which 945 were worked."""
    with app.app_context(), transaction(db.session()) as session:
        stage, person = make_work(session, "Clear the bonnet", minutes=740), find_person_named(session, "Dana")
        assert person is not None
        entry = ClockEntry(
            person_id=person.id,
            at=at("10:00"),
            on=THURSDAY,
            started_at=at("0:00"),
            stopped_at=at("15:45"),
            minutes=945,
            what="stage",
        )
        session.add(entry)
        session.flush()
        session.add(
            ClockShare(
                entry_id=entry.id, stage_id=stage.id, job_id=stage.job_id, minutes=945, cost_minor=0, is_agreed=True
            )
        )
    return ShopClient(app).signed_in_as("Noor")


def test_over_is_the_difference_of_the_two_figures_that_are_shown(overrun: ShopClient) -> None:
    said = [found.groups() for row in rows_of(overrun.text("/jobs/")) if (found := TENTHS.search(row))]
    assert said == [("15.8", "12.3", "3.5")]


def test_done_and_to_go_add_up_to_what_is_expected(overrun: ShopClient) -> None:
    with overrun.app.app_context(), transaction(db.session()) as session:
        make_more(session)
    row = next(row for row in rows_of(overrun.text("/jobs/1")) if "planned ·" in row)
    figures = {word: float(figure) for figure, word in re.findall(r"(\d+\.\d) h (planned|done|to go|expected)", row)}
    assert (figures["done"], figures["to go"], figures["expected"]) == (15.8, 0.4, 16.2)


def make_more(session: Session) -> None:
    """A second stage of 26 minutes on the same job."""
    make_stage(session, session.get_one(Job, 1), "Polish", minutes=26)
