"""The page of our changed guesses: ours beside the book's, one press for one or all, a day that cannot be read."""

from collections.abc import Iterator
from datetime import date

import pytest
from flask import Flask

from shopbook.models.session import transaction
from shopbook.queries.shop.rates import catalogue_on
from shopbook.services.act import Act
from shopbook.services.shop.guesses import keep_figures
from shopbook.trade.catalogue.reading import own_catalogue
from shopbook.trade.permissions import THE_PROGRAM
from shopbook.web.parts.act import db
from tests.clients import ShopClient, sentences
from tests.conftest import NOON
from tests.shipped import retiring, shipping, with_figure, with_row

TODAY = date(2026, 11, 5)
WAX = own_catalogue().stages["wax"].panel_minutes
PAGE = "/settings/guesses"


@pytest.fixture
def later(app: Flask, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """The app's book brought up to a later version: one figure of each kind is another one, a price is new."""
    changes = (
        with_figure("stage.wax", "panel_minutes", WAX + 6),
        with_figure("stage.prime", "fixed_minutes", 31),
        with_figure("price.bonnet", "medium", [40, 90, 120]),
        with_figure("panel.roof", "area_m2", 2.5),
        with_figure("number.gun_clean_ml", "value", 333),
        with_figure("mix.clear_medium", "coats", 3),
        with_figure("gun.sealer", "inlet_bar", [1.5, 2.5]),
        with_figure("panel.roof", "substrate", "aluminium"),
        with_row("[small_dent.up_to_400]\nup_to_mm = 400\nbands = [[1, 90]]"),
        retiring("gun.etch"),
    )
    with shipping(monkeypatch, *changes):
        with app.app_context():
            with transaction(db.session()) as session:
                keep_figures(Act(session, THE_PROGRAM, NOON))
            db.session.remove()
        yield


def wax(app: Flask) -> int:
    with app.app_context():
        minutes = catalogue_on(db.session(), TODAY).stages["wax"].panel_minutes
        db.session.remove()
    return minutes


def test_a_new_book_has_nothing_to_show(client: ShopClient) -> None:
    assert "Our guesses changed" not in client.text("/settings")
    assert "Use ours" not in client.text(PAGE)


@pytest.mark.usefixtures("later")
def test_settings_counts_what_changed_by_kind_and_the_page_shows_ours_beside_it(client: ShopClient) -> None:
    counted = "1 panel, 2 stages, 1 mix, 1 price, 1 price of small dents, 1 spray gun, 1 figure"
    assert counted in client.text("/settings")
    page = client.text(PAGE)
    assert counted in page
    for figure in (str(WAX), str(WAX + 6), "333", "aluminium", "1.5, 2.5", "$585.00"):
        assert figure in page
    assert "No longer in new books" in page


@pytest.mark.usefixtures("later")
def test_one_press_takes_one_a_second_finds_nothing_and_all_takes_the_rest(app: Flask, client: ShopClient) -> None:
    assert wax(app) == WAX
    assert "1 stage," in client.press_on(PAGE, take="stage:wax", from_on="2026-11-05")
    assert wax(app) == WAX + 6
    again = client.press(PAGE, take="stage:wax", from_on="2026-11-05")
    assert again.status_code == 409
    assert "Use ours" not in client.press_on(PAGE, take="all", from_on="2026-11-05")
    assert "Our guesses changed" not in client.text("/settings")


@pytest.mark.usefixtures("later")
def test_what_the_shop_set_is_shown_as_set_and_left_alone_by_all(app: Flask, client: ShopClient) -> None:
    client.press_on(
        "/settings/price-list/bonnet", price_M_paint="640", days_no_paint="1", days_paint="3", days_blend="3"
    )
    assert "These figures are your own" in client.text(PAGE)
    page = client.press_on(PAGE, take="all", from_on="2026-11-05")
    assert "$640.00" in page
    assert "640.00" in client.text("/settings/price-list")


@pytest.mark.usefixtures("later")
@pytest.mark.parametrize("take", ["stage:wax", "all"])
def test_a_day_that_cannot_be_read_takes_nothing(app: Flask, client: ShopClient, take: str) -> None:
    answer = client.press(PAGE, take=take, from_on="31 February 2027")
    assert answer.status_code == 422
    assert any("Enter a day, for example" in each for each in sentences(answer.text))
    assert "31 February 2027" in answer.text
    assert wax(app) == WAX


@pytest.mark.usefixtures("later")
@pytest.mark.parametrize("take", ["", "stage", "wheel:wax", "stage:" + "x" * 300, "caution:dust"])
def test_a_press_for_what_is_no_offer_is_said(client: ShopClient, take: str) -> None:
    assert client.press(PAGE, take=take).status_code == 409


@pytest.mark.usefixtures("later")
def test_a_kept_standard_is_still_called_our_guess(client: ShopClient) -> None:
    assert "yours" not in client.text("/settings/standards/stage")
