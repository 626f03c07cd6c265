"""A car that was booked in and is priced at the car continues its own job; a second one is never opened by accident."""

from datetime import date

import pytest
from sqlalchemy import select

from shopbook.models.jobs import Damage, Job
from shopbook.models.money import Quote
from shopbook.models.session import transaction
from shopbook.services.act import Act
from shopbook.services.jobs.kerb import book_car_in
from shopbook.trade.permissions import THE_PROGRAM
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.conftest import NOON
from tests.makers import make_customer, make_vehicle

TAPPED = {"panel": ["bonnet"], "size.bonnet": "M", "paint.bonnet": "paint", "price.bonnet": "480", "days": "2"}


@pytest.fixture
def booked(client: ShopClient) -> ShopClient:
    """Job 1 of Ines Okafor's hatchback KTR 204, booked in for Monday; nothing is priced on it."""
    with client.app.app_context(), transaction(db.session()) as session:
        car = make_vehicle(session, make_customer(session))
        given = {"wrong": "A scrape", "payer_kind": "private", "purpose": "paid", "whose": (car.customer_id, car.id)}
        book_car_in(Act(session, THE_PROGRAM, NOON), drop_off_on=date(2026, 11, 9), **given)  # type: ignore[arg-type]
        session.flush()
        session.expunge_all()
    return client


def jobs(client: ShopClient) -> list[Job]:
    with client.app.app_context():
        return list(db.session.scalars(select(Job).order_by(Job.id)))


@pytest.mark.parametrize("who", ["KTR 204", "555-0142"])
def test_an_open_job_is_asked_about_and_none_is_chosen(booked: ShopClient, who: str) -> None:
    page = booked.text(f"/jobs/kerb?panel=bonnet&who={who}")
    assert "Continue job 1" in page
    assert "A new job" in page
    answer = booked.press("/jobs/kerb", who=who, **TAPPED)
    assert answer.status_code == 422
    assert "There is an open job already." in answer.text
    assert len(jobs(booked)) == 1


@pytest.mark.parametrize("who", ["KTR 204", "555-0142", "Ines Okafor"])
def test_the_price_belongs_to_the_job_that_was_booked_in(booked: ShopClient, who: str) -> None:
    answer = booked.press("/jobs/kerb", who=who, continues="1", is_said="y", **TAPPED)
    assert answer.headers["Location"] == "/jobs/1"
    (job,) = jobs(booked)
    assert (job.wrong, job.drop_off_on) == ("A scrape", date(2026, 11, 9))
    with booked.app.app_context():
        assert db.session.scalars(select(Damage.panel)).all() == ["bonnet"]
        assert db.session.scalars(select(Quote.job_id)).all() == [1]


def test_a_second_job_is_opened_only_on_purpose(booked: ShopClient) -> None:
    booked.press_on("/jobs/kerb", who="KTR 204", continues="new", **TAPPED)
    assert [job.vehicle_id for job in jobs(booked)] == [1, 1]


def test_a_job_with_a_price_of_its_own_is_shown_and_not_continued(booked: ShopClient) -> None:
    booked.press_on("/jobs/kerb", who="KTR 204", continues="1", **TAPPED)
    page = booked.press("/jobs/kerb", who="KTR 204", continues="1", **TAPPED)
    assert page.status_code == 422
    assert "has its own price" in page.text
    assert "Continue job 1" not in page.text
    assert len(jobs(booked)) == 1


def test_another_car_of_the_same_customer_opens_its_own_job(booked: ShopClient) -> None:
    booked.press_on("/jobs/kerb", who="Ines Okafor", known="c1", car="red van", **TAPPED)
    assert len(jobs(booked)) == 2


def test_half_a_name_forces_nothing(booked: ShopClient) -> None:
    assert "Continue job 1" in booked.text("/jobs/kerb?panel=bonnet&who=Okafor")
    booked.press_on("/jobs/kerb", who="Okafor", **TAPPED)
    assert len(jobs(booked)) == 2


def test_the_jobs_own_page_leads_to_its_price(booked: ShopClient) -> None:
    assert "continues=1" in booked.text("/jobs/1")
    page = booked.text("/jobs/kerb?panel=bonnet&who=KTR+204&continues=1")
    assert (
        'checked id="continues-0"' in page or 'id="continues-0" name="continues" type="radio" value="1" checked' in page
    )
