"""What comes next of a job is one act in one word at one address, on Today, in the list of jobs and on its own page."""

from collections.abc import Iterable

import pytest
from flask import Flask
from lxml.html import HtmlElement
from sqlalchemy.orm import Session

from shopbook.models.session import transaction
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.makers.diary import MONDAY, make_promised_job
from tests.makers.floor import THURSDAY
from tests.web.rendering import find, parse

Pressed = tuple[str, str, tuple[tuple[str, str], ...]]
"""The words of a press, its address and what it sends."""


@pytest.fixture
def cars(app: Flask) -> tuple[int, int]:
    """The numbers of a car promised for the afternoon of the day it comes, and of one that can be kept."""
    with app.app_context(), Session(db.engine) as opened, transaction(opened):
        late = make_promised_job(opened, comes=THURSDAY, back=THURSDAY, is_here=True)
        kept = make_promised_job(opened, comes=THURSDAY, back=MONDAY.replace(day=16), is_here=True)
        return late.number, kept.number


def presses(within: Iterable[HtmlElement], number: int) -> list[Pressed]:
    """The presses of these parts of a page that stand outside menus; the number in a name for a reader is left out."""
    found = []
    for part in within:
        for each in part.xpath(".//*[contains(@class,'button') and not(ancestor::details[contains(@class,'menu')])]"):
            forms = each.xpath("ancestor::form")
            address = forms[0].get("action") if forms else each.get("href")
            fields = forms[0].xpath(".//input[@type='hidden']") if forms else []
            sent = {one.get("name"): one.get("value") for one in fields}
            kept = sorted(
                (name, sent[name]) for name in sent if name not in {"csrf_token", "act_key", "revision", "stay"}
            )
            found.append((each.text_content().strip(), address, tuple(kept)))
    return found


def first_of(client: ShopClient, path: str, number: int) -> Pressed:
    """The first press of the job's rows on a page, or of the lead card on its own."""
    page = parse(client.text(path))
    if path.endswith(f"/{number}"):
        return presses(find(page, "section", class_="lead-card"), number)[0]
    rows = [row for row in find(page, "li") if row.xpath(f".//a[@class='no' and @href='/jobs/{number}']")]
    return presses(rows, number)[0]


@pytest.mark.parametrize("who", ["Noor", "Desk"])
def test_owner_and_desk_set_the_day_and_text_the_customer_from_three_pages(
    app: Flask, cars: tuple[int, int], who: str
) -> None:
    late, _ = cars
    client = ShopClient(app).signed_in_as(who)
    found = {first_of(client, path, late) for path in ("/today", "/jobs/", f"/jobs/{late}")}
    ((words, address, sent),) = found
    assert words.startswith("Set ")
    assert words.endswith(", text Ines")
    assert address == f"/diary/jobs/{late}/take"
    assert dict(sent).keys() == {"promise_on", "promise_half", "told"}


def test_a_technician_goes_to_the_stage_from_both_pages(app: Flask, cars: tuple[int, int]) -> None:
    """Today is not theirs to open."""
    client = ShopClient(app).signed_in_as("Dana")
    for number in cars:
        ((words, address, sent),) = {first_of(client, path, number) for path in ("/jobs/", f"/jobs/{number}")}
        assert (words, sent) == ("Open the stage", ())
        assert client.get(address).status_code == 200
        assert address.startswith("/floor/stages/")


@pytest.mark.parametrize("who", ["Noor", "Desk"])
def test_a_promise_that_is_kept_leads_to_the_plan_from_both_pages(app: Flask, cars: tuple[int, int], who: str) -> None:
    _, kept = cars
    client = ShopClient(app).signed_in_as(who)
    found = {first_of(client, path, kept) for path in ("/jobs/", f"/jobs/{kept}")}
    assert found == {("See the plan", f"/jobs/{kept}#plan", ())}


def test_one_press_of_the_jobs_page_is_filled_and_none_of_the_list_of_jobs_in_its_rows(
    app: Flask, cars: tuple[int, int]
) -> None:
    late, _ = cars
    client = ShopClient(app).signed_in_as("Noor")
    filled = [
        each
        for each in find(parse(client.text(f"/jobs/{late}")), "*", class_="button")
        if "quiet" not in each.get("class")
    ]
    assert [each.text_content().strip()[:4] for each in filled] == ["Set "]
    rows = find(parse(client.text("/jobs/")), "ul", class_="jobs")
    assert all("calm" in each.get("class") for row in rows for each in row.xpath(".//*[contains(@class,'button')]"))
