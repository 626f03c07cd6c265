"""The job card of whole cars, counted and measured in the file: one page for one panel, two at most for three."""

from io import BytesIO
from typing import Any

import pytest
from flask import Flask
from lxml import html
from pypdf import PageObject, PdfReader
from sqlalchemy import select

from shopbook.models.jobs import Job, Stage
from shopbook.models.session import transaction
from shopbook.trade.catalogue.reading import own_catalogue
from shopbook.trade.letters import say_runs
from shopbook.web.parts import shop_address
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.makers.cars import CARS, make_hurt_car
from tests.makers.jobs import make_planned_job, make_stage

SMALLEST = 8.5


def card_of(app: Flask, name: str, **given: Any) -> list[PageObject]:
    """The pages of a car's card as a phone in the shop is given them."""
    with app.app_context(), transaction(db.session()) as session:
        number = make_hurt_car(session, name, **given).number
    return pages_of(app, number)


def pages_of(app: Flask, number: int) -> list[PageObject]:
    app.config["TRUSTED_HOSTS"] = ["localhost", "192.0.2.14"]
    answer = ShopClient(app).signed_in_as("Dana").get(f"/floor/jobs/{number}/card.pdf")
    assert answer.status_code == 200
    return list(PdfReader(BytesIO(answer.data)).pages)


def text_of(pages: list[PageObject]) -> str:
    return " ".join(" ".join(page.extract_text().split()) for page in pages)


def sizes_of(pages: list[PageObject]) -> set[float]:
    """The size of every piece of text, as it is drawn: its font size times the scale of its matrices."""
    found: set[float] = set()

    def note(text: str, cm: list[float], tm: list[float], _font: object, size: float) -> None:
        if text.strip():
            found.add(round(size * abs(tm[3]) * abs(cm[3]), 2))

    for page in pages:
        page.extract_text(visitor_text=note)
    return found


@pytest.mark.parametrize("name", CARS)
def test_a_card_has_a_page_for_one_panel_and_two_at_most_and_nothing_small_or_said_twice(app: Flask, name: str) -> None:
    pages = card_of(app, name)
    text = text_of(pages)
    assert len(pages) <= (1 if CARS[name].panels == 1 else 2)
    assert min(sizes_of(pages)) >= SMALLEST
    cautions = [text.count(f"{caution.title} (") for caution in own_catalogue().cautions.values()]
    assert max(cautions) == 1


def test_a_big_job_with_the_longest_words_is_still_a_card(app: Flask) -> None:
    panels = ["bonnet", "roof", "boot_lid", *(f"{side}_{each}" for side in ("left", "right")
              for each in ("front_wing", "front_door", "rear_door"))]  # fmt: skip
    with app.app_context(), transaction(db.session()) as session:
        job = make_planned_job(session, *panels, wrong="W" * 200)
        for place in range(40):
            make_stage(session, job, f"{place} {'W' * 190}")
        number = job.number
    pages = pages_of(app, number)
    assert len(pages) > 2
    assert min(sizes_of(pages)) >= SMALLEST


def test_the_mix_table_has_the_figures_of_the_floors_page(app: Flask) -> None:
    with app.app_context(), transaction(db.session()) as session:
        job = make_hurt_car(
            session,
            "one dent",
        )
        number = job.number
    text = text_of(pages_of(app, number))
    dana = ShopClient(app).signed_in_as("Dana")
    stages = _spraying(app, number)
    assert stages
    for stage_id in stages:
        for figure in _figures(dana.text(f"/floor/stages/{stage_id}")):
            assert figure in text, figure


def _spraying(app: Flask, number: int) -> list[int]:
    with app.app_context():
        rows = db.session.scalars(select(Stage).join(Job, Job.id == Stage.job_id).where(Job.number == number))
        return [stage.id for stage in rows if stage.mixes]


def _figures(page: str) -> list[str]:
    """Each row of the page's mixes as the card prints it: name, amount, cup line and scale."""
    rows = html.fromstring(page).xpath("//table[contains(@class, 'mix')]/tbody/tr")
    return [" ".join(" ".join(row.itertext()).split()).replace(" –", "") for row in rows]


@pytest.mark.parametrize(
    ("asked", "address"),
    [
        ("http://192.0.2.7:8210/", "http://192.0.2.7:8210/jobs/1"),
        ("http://localhost:8210/", "http://192.0.2.14:8210/jobs/1"),
        ("http://127.0.0.1:8210/", "http://192.0.2.14:8210/jobs/1"),
        ("https://shop.example/", "https://shop.example/jobs/1"),
    ],
)
def test_the_code_opens_the_job_where_a_phone_reaches_it(app: Flask, asked: str, address: str) -> None:
    app.config["TRUSTED_HOSTS"] = ["localhost", "127.0.0.1", "192.0.2.14", "192.0.2.7", "shop.example"]
    with app.test_request_context("/", base_url=asked):
        assert shop_address("/jobs/1") == address


def test_a_book_served_to_its_own_machine_alone_has_no_address_for_a_phone(app: Flask) -> None:
    app.config["TRUSTED_HOSTS"] = ["localhost", "127.0.0.1", "[::1]"]
    with app.test_request_context("/", base_url="http://127.0.0.1:8210/"):
        assert shop_address("/jobs/1") == ""


def test_numbers_that_follow_each_other_are_said_as_one_run() -> None:
    assert say_runs([1, 3, 4, 5, 8]) == "1, 3–5, 8"
