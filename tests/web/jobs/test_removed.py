"""Removed items of a job: found from its page, each with what restoring changes, restored by one press."""

import pytest
from flask import Flask
from sqlalchemy.orm import Session

from shopbook.models.session import transaction
from shopbook.queries.jobs.damage import list_damages
from shopbook.queries.jobs.plans import list_stages
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.makers.jobs import make_planned_job


@pytest.fixture
def desk(app: Flask) -> ShopClient:
    """The desk in front of job 1 with two damages."""
    with app.app_context(), Session(db.engine) as opened, transaction(opened):
        make_planned_job(opened, "right_front_door", "bonnet")
    return ShopClient(app).signed_in_as("Desk")


def hours(desk: ShopClient) -> int:
    with desk.app.app_context():
        return sum(stage.planned_minutes for stage in list_stages(db.session(), 1))


def test_a_removed_damage_says_its_hours_and_comes_back(desk: ShopClient) -> None:
    before = hours(desk)
    with desk.app.app_context():
        key = list_damages(db.session(), 1)[1].id
    desk.press_on(f"/jobs/1/damage/{key}/strike")
    assert 'href="/jobs/1/removed"' in desk.text("/jobs/1")
    page = desk.text("/jobs/1/removed")
    assert f"+{(before - hours(desk)) / 60:.1f} h" in page
    desk.press_on(f"/jobs/1/removed/damages/{key}")
    assert hours(desk) == before
    assert f"/removed/damages/{key}" not in desk.text("/jobs/1/removed")


def test_what_is_not_removed_from_this_job_is_not_restored(desk: ShopClient) -> None:
    assert desk.press("/jobs/1/removed/parts/7").status_code == 404


def test_a_page_without_anything_removed_says_so(desk: ShopClient) -> None:
    assert "Nothing was removed from this job." in desk.text("/jobs/1/removed")
