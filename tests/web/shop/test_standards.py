"""A stage's standard in three figures, and the rest of it under More."""

from datetime import date

import pytest
from flask import Flask
from lxml import html

from shopbook.queries.shop.rates import catalogue_on
from shopbook.web.parts.act import db
from tests.clients import ShopClient, refused_fields

TODAY = date(2026, 11, 5)
FILL = "/settings/standards/stage/fill"


def minutes_of(app: Flask, code: str) -> int:
    """The minutes for each damage of a stage."""
    with app.app_context():
        found = catalogue_on(db.session(), TODAY).stages[code].damage_minutes
        db.session.remove()
    return found


def test_minutes_are_used_from_today_and_the_rest_is_folded(app: Flask, client: ShopClient) -> None:
    page = html.fromstring(client.text(FILL))
    assert page.xpath("//input[@name='minutes']/@value") == ["45"]
    (more,) = page.xpath("//details[.//input[@name='damage_minutes']]")
    assert more.get("open") is None
    assert "In use from today." in client.press_on(f"{FILL}/use", minutes="54")
    assert minutes_of(app, "fill") == 41


@pytest.mark.parametrize("typed", ["", "0", "soon", "54,5", "9999"])
def test_minutes_that_are_none_are_refused_beside_their_field_and_stay(
    app: Flask, client: ShopClient, typed: str
) -> None:
    answer = client.press(f"{FILL}/use", minutes=typed)
    assert answer.status_code == 422
    assert refused_fields(answer.text) == ["minutes"]
    assert html.fromstring(answer.text).xpath("//input[@name='minutes']/@value") == [typed]
    assert minutes_of(app, "fill") == 34


def test_drying_and_what_takes_longer_are_chosen_by_words(client: ShopClient) -> None:
    page = html.fromstring(client.text("/settings/standards/stage/base_clear"))
    assert "Clear unmask" in [each.text for each in page.xpath("//select[@name='wait']/option")]
    assert "many_coats" in page.xpath("//input[@name='factors'][@checked]/@value")
    assert page.xpath("//input[@name='next_panel_permille']/@value") == ["90"]


def test_the_list_of_stages_folds_all_but_five(client: ShopClient) -> None:
    page = html.fromstring(client.text("/settings/standards/stage"))
    assert len(page.xpath("//section/ul[contains(@class, 'lines')]/li")) == 5
    (fold,) = page.xpath("//details[contains(@class, 'rest')]")
    assert fold.xpath("./summary")[0].text.strip() == "30 more stages"
    assert len(fold.xpath(".//li")) == 30
