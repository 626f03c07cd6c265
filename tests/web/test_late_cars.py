"""A car that cannot go out as promised is said so in the same words on every page that shows it."""

import re

import pytest
from flask import Flask
from sqlalchemy.orm import Session

from shopbook.models.session import transaction
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.makers.diary import MONDAY, make_promised_job
from tests.makers.floor import THURSDAY

PAGES = ("/today", "/diary/", "/jobs/", "/jobs/{number}", "/floor/")
LATE = re.compile(r"will be late: ready [\w ,]+")


def make_cars(app: Flask, *, is_here: bool) -> tuple[int, int]:
    """The numbers of a car promised for the afternoon of the day it comes, and of one promised for Monday week."""
    with app.app_context(), Session(db.engine) as opened, transaction(opened):
        late = make_promised_job(opened, comes=THURSDAY, back=THURSDAY, is_here=is_here)
        kept = make_promised_job(opened, comes=THURSDAY, back=MONDAY.replace(day=16), is_here=is_here)
        return late.number, kept.number


@pytest.mark.parametrize("is_here", [True, False], ids=["in the shop", "expected today"])
def test_five_pages_say_the_same_of_a_late_car_and_nothing_of_another(app: Flask, is_here: bool) -> None:
    late, kept = make_cars(app, is_here=is_here)
    owner = ShopClient(app).signed_in_as("Noor")
    said = {page: set(LATE.findall(owner.text(page.format(number=late)))) for page in PAGES}
    assert all(len(words) == 1 for words in said.values()), said
    assert len(set.union(*said.values())) == 1, said
    assert not LATE.search(owner.text(f"/jobs/{kept}"))


def test_a_promise_moved_to_a_day_that_can_be_kept_is_late_nowhere(app: Flask) -> None:
    late, _ = make_cars(app, is_here=True)
    owner = ShopClient(app).signed_in_as("Noor")
    days = {"drop_off_on": "2026-11-05", "drop_off_half": "", "promise_on": "2026-12-04", "promise_half": ""}
    owner.press_on(f"/diary/jobs/{late}", **days)
    assert [page for page in PAGES if LATE.search(owner.text(page.format(number=late)))] == []
