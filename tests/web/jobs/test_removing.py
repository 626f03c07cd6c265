"""What an approved plan or a given estimate holds is removed by two presses: the first says what changes."""

import re

import pytest
from flask import Flask
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Damage, Job, JobPart, Stage
from shopbook.models.money import Quote
from shopbook.models.shop import LogLine
from shopbook.services.act import Act
from shopbook.services.jobs.parts import add_part
from shopbook.trade.permissions import THE_PROGRAM
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.conftest import NOON
from tests.makers import states
from tests.makers.jobs import make_planned_job
from tests.makers.quotes import GIVEN


def kept(client: ShopClient) -> tuple[int, ...]:
    """How many stages, damages, parts, quotes and lines of the log there are that were not removed."""
    with client.app.app_context():
        counts = [
            db.session.scalar(select(func.count()).select_from(table).where(table.struck_at.is_(None))) or 0
            for table in (Stage, Damage, JobPart)
        ]
        counts += [db.session.scalar(select(func.count()).select_from(table)) or 0 for table in (Quote, LogLine)]
        db.session.remove()
    return tuple(counts)


def stage_url(client: ShopClient) -> str:
    with client.app.app_context():
        key = db.session.scalars(select(Stage.id).where(Stage.struck_at.is_(None), Stage.planned_minutes > 0)).first()
        db.session.remove()
    return f"/jobs/1/plan/{key}/strike"


def with_a_part(session: Session) -> Job:
    job = states.agreed(session)
    add_part(Act(session, THE_PROGRAM, NOON), job.id, name="Left headlight", cost_minor=8600)
    return job


@pytest.mark.parametrize("maker", ["agreed", "given"])
def test_a_stage_is_asked_about_with_hours_and_sum_before_it_goes(app: Flask, client: ShopClient, maker: str) -> None:
    states.make_in(app, getattr(states, maker))
    before, url = kept(client), stage_url(client)
    page = client.press(url)
    assert page.status_code == 200
    hours = re.findall(r'data-label="(?:now|then)">([\d.]+) h<', page.text)
    assert float(hours[1]) < float(hours[0])
    assert ("Approved total" if maker == "agreed" else "Total given") in page.text
    assert "A new version would be" in page.text
    assert kept(client) == before, "nothing is removed by one press, and no draft is left behind"
    sure = re.search(r'name="sure" value="([^"]+)"', page.text)
    assert sure
    answer = client.press_on(url, sure=sure[1])
    assert ("h were agreed." in answer) == (maker == "agreed")
    assert kept(client)[0] == before[0] - 1
    assert kept(client)[3] == before[3]


def test_what_was_said_must_still_be_so_at_the_second_press(app: Flask, client: ShopClient) -> None:
    states.make_in(app, states.agreed)
    before = kept(client)
    answer = client.press(stage_url(client), sure="960-1")
    assert answer.status_code == 200
    assert kept(client) == before


def test_approved_stages_of_a_removed_damage_stay_and_the_page_says_so(app: Flask, client: ShopClient) -> None:
    states.make_in(app, states.agreed)
    page = client.press("/jobs/1/damage/1/strike").text
    assert "Approved stages stay until you remove them one by one." in page
    assert kept(client)[1] > 0


def test_a_part_is_asked_about_too(app: Flask, client: ShopClient) -> None:
    states.make_in(app, with_a_part)
    page = client.press("/jobs/1/parts/1/strike").text
    assert "Remove Left headlight?" in page
    assert kept(client)[2] == 1


def test_what_nobody_was_given_goes_with_one_press(app: Flask, client: ShopClient) -> None:
    states.make_in(app, lambda session: make_planned_job(session, at=GIVEN))
    before = kept(client)
    client.press_on(stage_url(client))
    assert kept(client)[0] == before[0] - 1
