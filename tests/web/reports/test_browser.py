"""Today and the diary in a real browser: no barrier for axe, nothing that scrolls sideways, no policy broken."""

from collections.abc import Iterator
from datetime import date

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser
from sqlalchemy.orm import Session

from shopbook.config import Config
from shopbook.models.session import make_engine, transaction
from shopbook.services.act import Act
from shopbook.services.diary import add_absence
from shopbook.services.floor.mixes import Left, Poured, make_mix
from shopbook.services.shop.dated_papers import add_dated_paper
from shopbook.services.shop.rates import set_settings
from shopbook.trade.permissions import THE_PROGRAM, Role
from shopbook.trade.settings import SettingName
from tests.clients import signed_in_cookie
from tests.conftest import NOON
from tests.makers import make_book, make_person
from tests.makers.diary import FRIDAY, make_morning
from tests.makers.floor import THURSDAY, make_work
from tests.makers.shelf import make_material
from tests.servers import Served, serving

PAGES = (
    *("/today", "/today/3/ready", "/diary/", "/diary/?day=2026-11-09", "/diary/jobs/1", "/diary/away", "/jobs/1"),
    *("/air/2026-11", "/air/papers/new", "/air/papers/1"),
)


@pytest.fixture
def shop(config: Config) -> Iterator[Served]:
    """A served shop in the morning of a full day."""
    engine = make_engine(config.database_url)
    with Session(engine) as opened, transaction(opened):
        make_book(opened)
        make_person(opened, "Noor", Role.OWNER, Role.DESK, skills=())
        make_morning(opened)
        add_absence(Act(opened, THE_PROGRAM, NOON), person_id=2, first=FRIDAY, minutes_away=90)
        set_settings(Act(opened, THE_PROGRAM, NOON), {SettingName.SHOWS_AIR: True}, THURSDAY)
        add_dated_paper(Act(opened, THE_PROGRAM, NOON), kind="mask_fit", whose="Dana", last_on=date(2025, 11, 1))
        clear = make_material(opened, "Clear on the sheet", role="clear", sheet={"voc_g_l": 480})
        parts = [Poured("clear", 200_000, clear.id), Poured("clear_activator", 100_000)]
        make_mix(Act(opened, THE_PROGRAM, NOON), "Clear", parts, [(make_work(opened).id, 250_000)], Left(50_000))
    engine.dispose()
    with serving(config, CLOCK=lambda: NOON) as running:
        yield running


@pytest.mark.parametrize("width", [1280, 390])
def test_no_page_has_a_barrier_or_scrolls_sideways(shop: Served, browser: Browser, width: int) -> None:
    kept = signed_in_cookie(shop.app, shop.config.database_url, "Noor")
    context = browser.new_context(viewport={"width": width, "height": 900})
    context.add_cookies([{"name": "shopbook", "value": kept, "url": shop.url}])
    page = context.new_page()
    faults: list[str] = []
    page.on("console", lambda said: faults.append(said.text) if said.type in {"error", "warning"} else None)
    for path in PAGES:
        answer = page.goto(f"{shop.url}{path}")
        assert answer is not None
        assert answer.status == 200
        for details in page.locator("details").all():
            details.evaluate("each => { each.open = true }")
        faults += [f"{path}: {each['id']}" for each in Axe().run(page).response["violations"]]
        if page.evaluate("document.documentElement.scrollWidth") > width:
            faults.append(f"{path} scrolls sideways")
    assert faults == []
    context.close()
