"""Undo on the page that follows an act: for the person who pressed, once, for ten minutes, until another touches it."""

import re
from datetime import timedelta

import pytest
from flask import Flask
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.customers import Customer
from shopbook.models.diary import Absence
from shopbook.models.jobs import Job, Stage
from shopbook.models.money import Invoice
from shopbook.models.session import transaction
from shopbook.models.shop import ActRow, LogLine
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.conftest import NOON
from tests.makers.jobs import make_planned_job
from tests.web.rendering import find, parse

UNDO = re.compile(r'action="(/undo/[0-9a-f]+)"')


@pytest.fixture
def desk(app: Flask) -> ShopClient:
    """The desk in front of job 1, which is approved."""
    with app.app_context(), Session(db.engine) as opened, transaction(opened):
        make_planned_job(opened, is_agreed=True)
    return ShopClient(app).signed_in_as("Desk")


def undo_on(page: str) -> str:
    """Where the Undo of a page leads."""
    found = UNDO.findall(page)
    assert len(found) == 1, page
    return str(found[0])


def job(client: ShopClient) -> Job:
    with client.app.app_context():
        return db.session.scalars(select(Job).where(Job.number == 1)).one()


def count(client: ShopClient, model: type) -> int:
    with client.app.app_context():
        return len(db.session.scalars(select(model)).all())


def ready(client: ShopClient) -> str:
    return client.press_on("/jobs/1/ready", all_the_same="yes")


def test_a_press_is_undone_from_the_page_that_follows(desk: ShopClient) -> None:
    address = undo_on(ready(desk))
    assert job(desk).ready_at is not None
    page = desk.press_on(address)
    assert "Undone." in page
    assert job(desk).ready_at is None
    assert UNDO.findall(page) == []
    with desk.app.app_context():
        words = db.session.scalars(select(LogLine.words).where(LogLine.act == "undo_act")).all()
    assert [line.split(" with")[0] for line in words] == ["Undone: Marked ready"]


def test_it_is_undone_once(desk: ShopClient) -> None:
    address = undo_on(ready(desk))
    desk.press_on(address)
    assert "This is undone already." in desk.press_on(address)


def test_a_double_press_on_undo_is_one(desk: ShopClient) -> None:
    address = undo_on(ready(desk))
    first, second = (desk.press(address, key="a" * 32) for _ in range(2))
    assert first.headers["Location"] == second.headers["Location"]
    assert "undone already" not in desk.text(second.headers["Location"])


def test_somebody_else_cannot_undo_it(desk: ShopClient) -> None:
    address = undo_on(ready(desk))
    answer = ShopClient(desk.app).signed_in_as("Noor").press(address)
    assert answer.status_code == 403
    assert "Only the person who pressed can undo it." in answer.text
    assert job(desk).ready_at is not None


def test_undo_stands_for_ten_minutes(desk: ShopClient) -> None:
    address = undo_on(ready(desk))
    desk.app.config["CLOCK"] = lambda: NOON + timedelta(minutes=10, seconds=1)
    assert "ten minutes" in desk.press_on(address)
    assert job(desk).ready_at is not None


def test_undo_is_refused_once_someone_touched_the_same_thing(desk: ShopClient) -> None:
    address = undo_on(ready(desk))
    ShopClient(desk.app).signed_in_as("Noor").press_on("/jobs/1/told")
    assert "Someone changed this since." in desk.press_on(address)
    assert job(desk).ready_at is not None


def test_time_off_that_was_added_is_gone_and_what_was_removed_is_back(desk: ShopClient) -> None:
    page = desk.press_on("/diary/away", person_id="3", first="2026-11-06")
    assert count(desk, Absence) == 1
    desk.press_on(undo_on(page))
    assert count(desk, Absence) == 0


def test_a_removed_stage_is_back_in_the_plan(desk: ShopClient) -> None:
    with desk.app.app_context():
        key = db.session.scalars(select(Stage.id).order_by(Stage.id)).first()
    asked = desk.press(f"/jobs/1/plan/{key}/strike").text
    sure = find(parse(asked), "input", name="sure")[0].get("value")
    page = desk.press_on(f"/jobs/1/plan/{key}/strike", sure=sure)
    desk.press_on(undo_on(page))
    with desk.app.app_context():
        assert db.session.get_one(Stage, key).struck_at is None


def test_a_customer_who_was_added_is_gone_with_their_page(desk: ShopClient) -> None:
    page = desk.press_on("/customers/new", kind="private", name="Jo Ash", phone="555 0111", pays_within_days="0")
    answer = desk.press(undo_on(page))
    assert answer.status_code == 303
    assert "Jo Ash" not in desk.text("/customers/")


def test_what_takes_money_or_gives_a_number_has_no_undo(desk: ShopClient) -> None:
    assert len(UNDO.findall(desk.press_on("/money/jobs/1/quote"))) == 1
    assert UNDO.findall(desk.press_on("/money/quotes/1/give")) == []
    assert count(desk, Invoice) == 0


def test_erasing_a_person_forgets_what_acts_changed(desk: ShopClient) -> None:
    desk.press_on("/customers/new", kind="private", name="Jo Ash", phone="555 0111", pays_within_days="0")
    assert count(desk, ActRow) > 0
    with desk.app.app_context():
        key = db.session.scalars(select(Customer.id).where(Customer.name == "Jo Ash")).one()
    ShopClient(desk.app).signed_in_as("Noor").press_on(f"/customers/{key}/erase")
    assert count(desk, ActRow) == 0
