"""A yes on the shop's phone: signed with a finger, under a host name that is not loopback."""

from datetime import timedelta

import pytest
from playwright.sync_api import Browser
from sqlalchemy.orm import Session

from shopbook.models.money import Approval
from shopbook.models.session import make_engine, transaction
from shopbook.trade.permissions import Role
from tests.clients import ShopClient
from tests.conftest import NOON
from tests.makers import make_book, make_person
from tests.makers.jobs import make_planned_job
from tests.makers.quotes import make_given_quote
from tests.servers import Served

pytestmark = pytest.mark.browser


def test_a_late_quote_is_looked_at_once_more_and_signed_with_a_finger(served: Served, browser: Browser) -> None:
    engine = make_engine(served.config.database_url)
    with Session(engine) as opened, transaction(opened):
        make_book(opened)
        make_person(opened, "Noor", Role.OWNER)
        make_given_quote(opened, make_planned_job(opened, "left_front_door", at=NOON), at=NOON)
    served.app.config["CLOCK"] = lambda: NOON + timedelta(days=60)
    cookie = ShopClient(served.app).signed_in_as("Noor").http.get_cookie("shopbook")
    assert cookie is not None
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    context.add_cookies([{"name": "shopbook", "value": cookie.value, "url": served.shop_url}])
    page = context.new_page()
    page.goto(f"{served.shop_url}/money/quotes/1/approval")
    page.get_by_role("radio", name="Ines Okafor").check()
    page.get_by_role("radio", name="Signs here").check()
    pad = page.locator("svg.sign")
    pad.scroll_into_view_if_needed()
    box = pad.bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + 40, box["y"] + 60)
    page.mouse.down()
    for step in range(1, 12):
        page.mouse.move(box["x"] + 40 + step * 10, box["y"] + 60 + (-1) ** step * 12)
    page.mouse.up()
    page.get_by_role("button", name="Save approval").click()
    assert page.get_by_role("alert").inner_text().count("This estimate has expired") == 1
    page.get_by_label("Accept the price").check()
    page.get_by_role("button", name="Save approval").click()
    page.wait_for_url("**/jobs/1")
    page.goto(f"{served.shop_url}/money/quotes/1")
    assert page.locator(".approval path.pen").count() == 1
    context.close()
    with Session(engine) as opened:
        kept = opened.query(Approval).one()
        assert kept.means == "signed"
        assert kept.signature.count("L") > 5
    engine.dispose()
