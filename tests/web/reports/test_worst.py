"""The month's worst jobs and standards as the page shows them, and a new standard by one press, taken back by Undo."""

from datetime import timedelta

import pytest
from flask import Flask
from lxml import html
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Stage
from shopbook.models.session import transaction
from shopbook.models.shop import Person
from shopbook.queries.jobs.plans import list_stages
from shopbook.queries.shop.people import get_actor
from shopbook.queries.shop.rates import catalogue_on
from shopbook.services.act import Act
from shopbook.services.floor.entries import Doing, write_entry
from shopbook.services.money.invoices import issue_invoice
from shopbook.trade.floor.hours import Interval
from shopbook.trade.permissions import Actor
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.conftest import NOON
from tests.makers.floor import at, make_open_job, make_work
from tests.makers.jobs import make_planned_job
from tests.makers.quotes import make_given_quote, make_yes


def read(client: ShopClient, url: str) -> html.HtmlElement:
    return html.fromstring(client.text(url))


def person(session: Session, name: str) -> Actor:
    return get_actor(session, session.scalars(select(Person.id).where(Person.name == name)).one())


def work(session: Session, stage: Stage, minutes: int) -> None:
    dana = person(session, "Dana")
    assert dana.person_id is not None
    span = Interval(at("8:00"), at("8:00") + timedelta(minutes=minutes))
    write_entry(Act(session, dana, at("18:00")), dana.person_id, span, Doing(stage_ids=(stage.id,)))


@pytest.fixture
def number(app: Flask) -> int:
    """A job whose stages took more than its hours, invoiced; and five stages that took a fifth longer than standard."""
    with app.app_context():
        session = db.session()
        with transaction(session):
            job = make_planned_job(session)
            job.came_at = at("7:50")
            make_yes(session, make_given_quote(session, job))
            for stage in list_stages(session, job.id)[:4]:
                work(session, stage, 500)
            for minutes in (66, 72, 72, 78, 72):
                done = make_work(session, code="block", job=make_open_job(session))
                work(session, done, minutes)
                done.standard_minutes, done.finished_at = 60, at("18:00")
            issue_invoice(Act(session, person(session, "Noor"), NOON), job.id)
            found = job.number
        db.session.remove()
    return found


def block_minutes(app: Flask) -> int:
    with app.app_context():
        found = catalogue_on(db.session(), NOON.date()).stages["block"].panel_minutes
        db.session.remove()
    return found


def test_a_job_short_of_plan_says_why_and_leads_to_its_steps(client: ShopClient, number: int) -> None:
    page = read(client, "/months/2026-11")
    (row,) = page.xpath("//*[@id='worst_jobs']//li")
    assert f"{number} ·" in row.text_content()
    assert "hours more than planned" in row.text_content()
    (link,) = row.xpath(".//a")
    job = read(client, link.get("href"))
    (steps,) = job.xpath("//*[@id='steps']")
    assert "Planned" in steps.text_content()
    assert "Hours" in steps.text_content()


def test_who_may_not_see_costs_sees_no_steps(app: Flask, number: int) -> None:
    desk = ShopClient(app).signed_in_as("Desk")
    assert read(desk, f"/jobs/{number}").xpath("//*[@id='steps']") == []
    assert desk.get("/months/2026-11").status_code == 403


def test_one_press_takes_the_shops_own_hours_and_undo_gives_the_old_ones_back(
    app: Flask, client: ShopClient, number: int
) -> None:
    before = block_minutes(app)
    page = read(client, "/months/2026-11")
    (row,) = [each for each in page.xpath("//*[@id='standards']//li") if "block" in each.text_content().lower()]
    assert "yours 1.2 h, standard 1.0 h · 5 jobs" in row.text_content()
    (button,) = row.xpath(".//button")
    assert button.text_content() == "Use 1.2 h"
    answer = client.press("/months/2026-11/standards/block/take", permille="1200")
    assert answer.status_code == 303
    assert block_minutes(app) > before
    page = read(client, "/months/2026-11")
    assert page.xpath("//*[@id='standards']//li") == []
    undo = page.xpath("//form[starts-with(@action, '/undo/')]")
    client.press(undo[0].get("action"))
    assert block_minutes(app) == before


def test_figures_that_changed_meanwhile_change_no_standard(app: Flask, client: ShopClient, number: int) -> None:
    before = block_minutes(app)
    answer = client.press("/months/2026-11/standards/block/take", permille="1100")
    assert "Check it again" in client.text(answer.headers["Location"])
    assert block_minutes(app) == before
