"""A served shop, a phone on its bench, and a network between them that a test can cut."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Stage
from shopbook.models.session import make_engine, transaction
from shopbook.models.shop import LogLine, Person
from shopbook.outside.passwords import hash_pin, hash_token
from shopbook.queries.shop.people import get_actor
from shopbook.services.act import Act
from shopbook.services.floor.clocks import start_clock
from shopbook.services.shop.people import enrol_device, hold_device
from shopbook.trade.permissions import THE_PROGRAM, Actor
from tests.clients import signed_in_cookie
from tests.journeys.cutting import Cut, Network, network_to
from tests.journeys.hands import PATIENCE, PHONE, Clock
from tests.makers import STARTED, make_book
from tests.makers.floor import at, make_painter, make_use, make_work
from tests.servers import SHOP_HOST, Served

TOKEN = "a-token-of-the-bench-phone"
MASK, CLEAR = 1, 2
START, DONE = "Start: 1 Degrease, mask, tack", "Done: 2 Clear the bonnet"


@dataclass(slots=True)
class Bench:
    """A served shop with Dana and Sam, the phone on the bench in Dana's hand, and two stages to do."""

    served: Served
    clock: Clock
    network: Network

    @contextmanager
    def writing(self) -> Iterator[Session]:
        engine = make_engine(self.served.config.database_url)
        with Session(engine) as session, transaction(session):
            yield session
        engine.dispose()

    def rows(self, table: type) -> list[Any]:
        engine = make_engine(self.served.config.database_url)
        with Session(engine) as session:
            found = list(session.scalars(select(table)).unique())
        engine.dispose()
        return found

    def stage(self, key: int) -> Stage:
        return next(stage for stage in self.rows(Stage) if stage.id == key)

    def late(self) -> list[str]:
        return [line.words for line in self.rows(LogLine) if line.subject == "late_press"]

    def go(self, page: Page, path: str) -> None:
        page.goto(f"http://{SHOP_HOST}:{self.network.port}{path}")

    def wait(self, page: Page, minutes: int) -> None:
        """So long passes in the shop and on the phone."""
        self.clock.on(minutes)
        page.clock.fast_forward(minutes * 60_000)

    def begins(self, name: str, stage_id: int) -> None:
        """Somebody starts on a stage at another screen."""
        with self.writing() as session:
            start_clock(Act(session, actor_called(session, name), self.clock()), [stage_id])


def actor_called(session: Session, name: str) -> Actor:
    return get_actor(session, session.scalars(select(Person.id).where(Person.name == name)).one())


@pytest.fixture
def bench(served: Served) -> Iterator[Bench]:
    with network_to(served.port) as network:
        made = Bench(served, Clock(at("9:02")), network)
        with made.writing() as session:
            make_book(session)
            for name, pin in (("Dana", "2468"), ("Sam", "1357")):
                person = make_painter(session, name)
                session.get_one(Person, person.person_id).pin_hash = hash_pin(pin, served.config.read_secret())
            device = enrol_device(Act(session, THE_PROGRAM, STARTED), token_hash=hash_token(TOKEN), name="bench")
            hold_device(Act(session, actor_called(session, "Dana"), STARTED), device.id)
            make_work(session, "Degrease, mask, tack")
            clear = make_work(session, "Clear the bonnet")
            make_use(session, clear, "clear", 320)
            make_use(session, clear, "clear_activator", 160)
        served.app.config["CLOCK"] = made.clock
        yield made


@contextmanager
def browsing(browser: Browser, bench: Bench, *, cookie: dict[str, str] | None = None) -> Iterator[BrowserContext]:
    """A phone at the shop's host name over plain http; the shared one of the bench, or one that is signed in."""
    context = browser.new_context(viewport=PHONE, has_touch=True, timezone_id="America/New_York")  # type: ignore[arg-type]
    context.set_default_timeout(PATIENCE)
    shared = {"name": "shopbook_device", "value": TOKEN, "domain": SHOP_HOST, "path": "/"}
    context.add_cookies([cookie or shared])  # type: ignore[list-item]
    context.clock.install(time=bench.clock())
    try:
        yield context
    finally:
        context.close()


@pytest.fixture
def page(browser: Browser, bench: Bench) -> Iterator[Page]:
    """The shared phone, in Dana's hand."""
    with browsing(browser, bench) as context:
        yield context.new_page()


def keeps(page: Page, *words: str) -> None:
    """The page says this of presses that wait."""
    for each in words:
        expect(page.locator("#kept")).to_contain_text(each, use_inner_text=True, timeout=PATIENCE)


def says(page: Page, words: str) -> None:
    expect(page.locator("main")).to_contain_text(words, use_inner_text=True, timeout=PATIENCE)


def press_without_network(bench: Bench, page: Page) -> None:
    """Start, on the list, at 9:02 with no network."""
    bench.go(page, "/floor/")
    page.wait_for_load_state("load")
    bench.network.cut(Cut.BEFORE)
    page.get_by_role("button", name=START).click()
    keeps(page, START)


def cookie_of(bench: Bench) -> dict[str, str]:
    value = signed_in_cookie(bench.served.app, bench.served.config.database_url, "Dana")
    return {"name": "shopbook", "value": value, "domain": SHOP_HOST, "path": "/"}
