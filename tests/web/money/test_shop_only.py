"""What a price costs and brings is shown only behind a press: a customer looks on at these pages."""

import re

import pytest
from lxml import html

from tests.clients import ShopClient
from tests.web.jobs.test_kerb import KERB
from tests.web.shop.test_settings import MONEY

FIGURE_OF_HOURS = re.compile(r"\d[\d.,]*\s*(h|hrs?|hours?)\b")
OF_THE_SHOP = re.compile(r"\b(margin|at cost|cost|an hour|brings|must bring|does not cover)\b", re.IGNORECASE)
BOOK = {"panel": ["right_front_door", "bonnet"], "who": "555-0164"}


def seen(page: html.HtmlElement) -> str:
    """What stands on a page while every fold that is shut stays shut."""
    for fold in page.xpath("//details[not(@open)]"):
        for inside in fold.xpath("*[not(self::summary)]"):
            inside.drop_tree()
    for unseen in page.xpath("//script|//noscript|//head"):
        unseen.drop_tree()
    return " ".join(page.text_content().split())


def refuse_figures(text: str, *, with_hours: bool = True) -> str:
    page = html.fromstring(text)
    folds = page.xpath("//details[@data-shop-only]")
    assert all(fold.get("open") is None for fold in folds)
    assert [fold.xpath("string(summary)") for fold in folds] == ["Shop only"] * len(folds)
    said = seen(html.fromstring(text))
    assert not OF_THE_SHOP.search(said.replace("What we found and what it costs", "")), said
    assert not with_hours or not FIGURE_OF_HOURS.search(said), said
    return " ".join(" ".join(fold.text_content() for fold in folds).split())


@pytest.mark.parametrize("way", ["opened", "worked out again", "refused"])
def test_the_quick_estimate_shows_what_it_brings_only_in_a_fold(client: ShopClient, way: str) -> None:
    if way == "opened":
        page = client.text("/jobs/kerb?panel=right_front_door&panel=bonnet")
    elif way == "worked out again":
        page = client.press("/jobs/kerb", again="yes", **KERB).text
    else:
        page = client.press("/jobs/kerb", **(KERB | {"price.right_rear_door": "much"})).text
    inside = refuse_figures(page)
    assert re.search(r"[\d.]+ h planned\. This price brings \$[\d.]+ an hour after materials", inside)
    assert "Compare with break-even" in inside


@pytest.mark.parametrize("way", ["opened", "pressed without script"])
def test_what_an_hour_must_bring_is_read_once_somebody_asks_for_it(client: ShopClient, way: str) -> None:
    if way == "opened":
        page = client.text("/jobs/kerb?panel=right_front_door&panel=bonnet&again=break_even")
    else:
        page = client.press("/jobs/kerb", again="break_even", **KERB).text
    inside = refuse_figures(page)
    assert "Enter what Noor costs to see this." in inside
    assert "Compare with break-even" not in inside


def test_a_price_that_does_not_cover_its_plan_says_so_in_the_fold(client: ShopClient) -> None:
    client.press_on("/settings/money", **(MONEY | {"must_bring_minor": "70.20"}))
    assert "Break-even is $70.20." in refuse_figures(client.text("/jobs/kerb?panel=bonnet"))
    inside = refuse_figures(client.text("/jobs/kerb?panel=bonnet&price.bonnet=10.00"))
    assert "This price does not cover the plan." in inside


def test_estimate_its_words_and_its_approval_name_no_cost_margin_or_hours(client: ShopClient) -> None:
    client.press_on("/jobs/kerb", **BOOK)
    for page in ("", "/approval", "/share", "/payer-approval"):
        refuse_figures(client.text(f"/money/quotes/1{page}"))
    assert client.press("/money/jobs/1/quote").status_code == 303
    for page in ("", "/edit"):
        refuse_figures(client.text(f"/money/quotes/2{page}"))


def test_on_the_jobs_page_the_margin_stands_behind_a_press_for_whoever_may_see_it(client: ShopClient) -> None:
    """The plan of a job has its hours in sight: it is the shop's page, and the floor works by it."""
    client.press_on("/jobs/kerb", **BOOK)
    inside = refuse_figures(client.text("/jobs/1"), with_hours=False)
    assert "Margin if everything is approved" in inside
    assert "At cost" in inside
    assert "data-shop-only" not in client.signed_in_as("Desk").text("/jobs/1")
