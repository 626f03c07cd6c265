"""Told from the floor, read by the desk; and a stage that waits says until when, why, and what can be done now."""

from datetime import timedelta

import pytest
from flask import Flask
from sqlalchemy import select

from shopbook.models.floor import Mix
from shopbook.models.jobs import Job, Stage
from shopbook.models.session import transaction
from shopbook.trade.catalogue.reading import own_catalogue
from shopbook.trade.floor.coat_waits import Touch
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.makers.floor import at, make_use, make_wait, make_work
from tests.makers.quotes import make_given_quote, make_yes
from tests.web.rendering import find, parse


@pytest.fixture
def floor(app: Flask) -> ShopClient:
    """Dana's phone: a stage that is done and hardens, the one behind it, and other paint work."""
    with app.app_context(), transaction(db.session()) as session:
        prime = make_work(session, "Prime the door")
        job = session.get_one(Job, prime.job_id)
        prime.begun_at, prime.finished_at = at("8:30"), at("9:10")
        why = "Surfacer sands once it is hard. 2 h at 20 °C."
        make_wait(session, prime, 120, 24 * 60, adds="scuff_primer", opens=Touch.SAND, kind="harden", reason=why)
        make_work(session, "Block the door", job=job, after_stage_id=prime.id)
        make_work(session, "Polish the bonnet")
        quote = make_given_quote(session)
        make_yes(session, quote)
        session.get_one(Job, quote.job_id).came_at = at("8:00")
    app.config["CLOCK"] = lambda: at("10:00")
    return ShopClient(app).signed_in_as("Dana")


def stage_named(app: Flask, name: str) -> Stage:
    with app.app_context():
        return db.session.scalars(select(Stage).where(Stage.name == name)).one()


def test_a_stage_that_waits_says_until_when_why_and_not_after_when(floor: ShopClient) -> None:
    page = floor.text(f"/floor/stages/{stage_named(floor.app, 'Block the door').id}")
    (left,) = find(parse(page), "b", class_="until")
    assert left.text_content() == "1:10"
    text = " ".join(parse(page).text_content().split())
    assert "from 11:10 am" in text
    assert "Prime the door: hardening since 9:10 am" in text
    assert "Surfacer sands once it is hard" in text
    assert "Start by Fri 9:10 am" in text
    assert "comes first" in text


def test_what_can_be_worked_meanwhile_is_one_press_away(floor: ShopClient) -> None:
    page = parse(floor.text(f"/floor/stages/{stage_named(floor.app, 'Block the door').id}"))
    (section,) = [each for each in find(page, "section") if each.findtext("h2") == "Meanwhile"]
    polish = stage_named(floor.app, "Polish the bonnet")
    assert str(polish.id) in [field.get("value") for field in find(section, "input")]


def test_a_wait_that_is_over_lets_the_stage_begin(floor: ShopClient) -> None:
    floor.app.config["CLOCK"] = lambda: at("11:10") + timedelta(seconds=1)
    text = floor.text(f"/floor/stages/{stage_named(floor.app, 'Block the door').id}")
    assert "ready to start" in text
    assert "data-until" not in text
    assert "Meanwhile" not in text


def test_a_stage_that_is_done_says_what_comes_next_and_from_when(floor: ShopClient) -> None:
    text = " ".join(
        parse(floor.text(f"/floor/stages/{stage_named(floor.app, 'Prime the door').id}")).text_content().split()
    )
    assert "Next is block the door, from 11:10 am, start by Fri 9:10 am" in text


def test_more_work_is_told_from_the_floor_and_priced_and_asked_for_by_the_desk(floor: ShopClient) -> None:
    with floor.app.app_context():
        agreed = db.session.scalars(select(Job).where(Job.agreed_at.is_not(None)).order_by(Job.id.desc())).first()
        assert agreed
        job_id, number = agreed.id, agreed.number
    floor.text("/floor/found")
    answer = floor.press("/floor/found", job=str(job_id), title="Rust behind the arch", body="0.4")
    assert answer.status_code == 303, answer.text
    desk = ShopClient(floor.app).signed_in_as("Desk")
    page = parse(desk.text("/today"))
    (section,) = [each for each in find(page, "section") if each.xpath("string(.//h2)") == "Extra work found"]
    (row,) = find(section, "li")
    said = " ".join(row.text_content().split())
    for each in (str(number), "Rust behind the arch", "$26.00", "0.4 h", "Dana", "today 10:00 am"):
        assert each in said, said
    (give,) = [form.get("action") for form in find(row, "form", class_="press") if form.get("action").endswith("/give")]
    assert desk.press(give).status_code == 303
    assert ">Send</a>" in desk.text("/today"), "given to nobody yet, it still waits for the desk"
    assert desk.press(give.replace("/give", "/ask/customer"), how="said").status_code == 303
    after = desk.text("/today")
    assert "Extra work found" not in after
    assert "<h2>Waiting for an answer</h2>" in after
    assert "Rust behind the arch" in after


def test_what_is_told_without_a_car_or_words_is_not_sent(floor: ShopClient) -> None:
    answer = floor.press("/floor/found", job="", title="")
    assert answer.status_code == 422
    assert "Enter what you found." in answer.text
    answer = floor.press("/floor/found", job="", title="Clip broken")
    assert answer.status_code == 422
    assert "Choose a car." in answer.text
    assert 'value="Clip broken"' in answer.text


def test_what_waits_leads_to_its_own_page(floor: ShopClient) -> None:
    links = [link.get("href") for link in find(parse(floor.text("/floor/")), "a", href=True)]
    assert f"/floor/stages/{stage_named(floor.app, 'Block the door').id}" in links


def test_a_press_on_done_that_went_wrong_is_taken_back_from_the_list(floor: ShopClient) -> None:
    polish = stage_named(floor.app, "Polish the bonnet")
    floor.press_on("/floor/done", stage=str(polish.id))
    page = parse(floor.text("/floor/"))
    (back,) = [form.get("action") for form in find(page, "form", class_="press") if "reopen" in form.get("action")]
    assert back == f"/floor/stages/{polish.id}/reopen"
    assert floor.press(back).status_code == 303
    assert stage_named(floor.app, "Polish the bonnet").finished_at is None


def test_what_the_scale_showed_says_how_much_was_mixed(floor: ShopClient) -> None:
    with floor.app.app_context(), transaction(db.session()) as session:
        clear = make_work(session, "Clear the bonnet")
        make_use(session, clear, "clear", 320)
        make_use(session, clear, "clear_activator", 160)
        stage_id = clear.id
    with floor.app.app_context():
        catalogue = own_catalogue()
        grams = sum(
            ml * (catalogue.materials[role].density_mg_ml or 0) / 1000
            for role, ml in (("clear", 320), ("clear_activator", 160))
        )
    field = next(
        each.get("name")
        for each in find(parse(floor.text(f"/floor/stages/{stage_id}")), "input")
        if each.get("name", "").startswith("scale_")
    )
    code = field.removeprefix("scale_")
    half = {f"mix_{code}": "480", field: f"{grams / 2:.0f}"}
    assert floor.press(f"/floor/stages/{stage_id}", **half).status_code == 303
    with floor.app.app_context():
        mix = db.session.scalars(select(Mix)).one()
        assert mix.is_assumed is False
        assert abs(mix.total_thousandths - 240_000) < 1_000
