"""A shop to walk through with a clock that the test turns, and hands that count what they press and type."""

import io
import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, ConsoleMessage, Locator, Page, TimeoutError, expect
from pypdf import PdfReader
from sqlalchemy.orm import Session

from shopbook.config import Config, read_config
from shopbook.models.session import make_engine, transaction
from shopbook.outside.passwords import hash_password, hash_pin
from shopbook.services.act import Act
from shopbook.services.shop.people import add_person
from shopbook.services.shop.start import FirstAnswers, start_book
from shopbook.services.shop.taxes import answer_sales_tax
from shopbook.trade.billing.sales_tax import GoodsTaxed, LabourTaxed, SalesTaxAnswers
from shopbook.trade.countries import known_country
from shopbook.trade.permissions import THE_PROGRAM, Role
from tests.clients import signed_in_cookie
from tests.clocks import Clock
from tests.makers import STARTED
from tests.servers import SHOP_HOST, Served, serving

MORNING = datetime(2026, 11, 5, 13, 0, tzinfo=UTC)
"""Eight o'clock of Thursday 5 November 2026 in a shop five hours behind UTC."""

PHONE = {"width": 390, "height": 844}
DESK = {"width": 1280, "height": 900}
PASSWORD = "a short sentence is good"
TAX = SalesTaxAnswers(8000, "", LabourTaxed.NO, GoodsTaxed.TO_CUSTOMER, is_priced_apart=True)
PIN = "2468"
REFUSED = re.compile(r"status of 4\d\d")

PATIENCE = 60_000
"""A phone waits 12 s for an answer before it sends again; on a busy machine more than one of these passes."""
IS_KEPT = "each => each.type === 'submit' && !!each.form?.matches('[data-press]:not([data-again])')"
"""Whether what is pressed is kept on the phone until the book has it."""


@dataclass(slots=True)
class Hand:
    """One person's hand on a page; every press, tick and typed field counts one."""

    page: Page
    url: str
    presses: int = 0
    heard: list[str] = field(default_factory=list)

    def go(self, path: str) -> None:
        """Open a page; an address typed or kept as a bookmark is no press."""
        self.page.goto(self.url + path)

    def press(self, name: str, role: str = "button", *, inside: Locator | None = None, **more: Any) -> None:
        """Press the one button (or link) of that name; a fold that holds it is opened first."""
        within, named = inside or self.page, {"exact": True, "name": name} | more
        if not within.get_by_role(role, **named).count():  # type: ignore[arg-type]
            folded = within.get_by_role(role, include_hidden=True, **named)  # type: ignore[arg-type]
            if folded.count():
                self.open_folds(folded.first)
        self.tap(within.get_by_role(role, **named))  # type: ignore[arg-type]

    def follow(self, name: str, **more: Any) -> None:
        """Press the one link of that name."""
        self.press(name, "link", **more)

    def tap(self, found: Locator | str) -> None:
        """Press what a locator or a selector finds; what is folded away is opened first, a press each."""
        place = self.page.locator(found) if isinstance(found, str) else found
        self.open_folds(place)
        self.presses += 1
        if not place.evaluate(IS_KEPT):
            place.click()
            return
        # Sent by script from the open page, which then goes on to another or is drawn anew.
        place.evaluate("each => { each.ownerDocument.documentElement.dataset.old = 'yes'; }")
        place.click()
        expect(self.page.locator("html[data-old]")).to_have_count(0, timeout=PATIENCE)
        self.page.wait_for_load_state()

    def fill(self, label: str, words: str, **more: Any) -> None:
        """Type into a field found by its label."""
        self.presses += 1
        self.page.locator("main").get_by_label(label, **more).fill(words)

    def choose(self, label: str, words: str) -> None:
        """Take a choice of a list."""
        self.presses += 1
        self.page.get_by_label(label, exact=True).select_option(label=words)

    def pick(self, words: str, *, inside: Locator | None = None) -> None:
        """Press a choice of a strip or of a row of boxes, as a thumb does: on its words."""
        within, said = inside or self.page, re.compile(rf"^\s*{re.escape(words)}\s*$")
        strip = within.locator(".pick label", has_text=said)
        self.tap(strip.or_(within.locator(".ways label", has=self.page.locator("b", has_text=said))))

    def tick(self, label: str) -> None:
        """Tick or untick a box."""
        self.tap(self.page.get_by_label(label))

    def unfold(self, words: str) -> None:
        """Open what is folded away."""
        self.tap(self.page.locator("summary", has_text=words).first)

    def open_folds(self, place: Locator) -> None:
        """Open the folds that hold something, the outer one first, each by its line."""
        for fold in place.locator("xpath=ancestor::details[not(@open)]").all():
            line = fold.locator("> summary")
            if not line.evaluate("(line, held) => line.contains(held)", place.element_handle()):
                self.presses += 1
                line.click()

    def attach(self, path: Path, selector: str = "input[type=file]") -> None:
        """Take a picture: one press on the tile, one on the shutter."""
        self.presses += 2
        self.page.set_input_files(selector, str(path))

    def draw(self) -> None:
        """Sign on the pad with a finger, once no sum on the page is greyed."""
        expect(self.page.locator('[aria-busy="true"]')).to_have_count(0)
        self.presses += 1
        pad = self.page.locator("svg.sign")
        pad.scroll_into_view_if_needed()
        box = pad.bounding_box()
        assert box is not None
        x, y, mouse = box["x"], box["y"], self.page.mouse
        mouse.move(x + 40, y + 60)
        mouse.down()
        for step in range(1, 12):
            mouse.move(x + 40 + step * 10, y + 60 + (-1) ** step * 12)
        mouse.up()

    def arrives(self, path: str) -> None:
        """The page that a press led to is one of this path (a pattern); what it said instead is told."""
        try:
            self.page.wait_for_url(re.compile(re.escape(self.url) + path))
        except TimeoutError as late:
            shown = " ".join(self.page.locator("body").inner_text().split())
            raise AssertionError(f"{path} was wanted, {self.page.url} came: {shown[:1500]}") from late

    def fetch(self, path: str) -> bytes:
        """A file as this hand's browser is given it: the name of the shop is known to the browser alone."""
        found: list[int] = self.page.evaluate(
            "async path => Array.from(new Uint8Array(await (await fetch(path)).arrayBuffer()))", path
        )
        return bytes(found)

    def reads(self, path: str) -> str:
        """The words of a PDF as this hand is given it."""
        return "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(self.fetch(path))).pages)

    @property
    def path(self) -> str:
        """The path of the page that is open."""
        return self.page.url.removeprefix(self.url)

    def says(self, *words: str) -> None:
        """The page shows these words, or does so within a moment."""
        for each in words:
            expect(self.page.locator("main"), self.page.url).to_contain_text(each, use_inner_text=True)

    def begin_count(self) -> None:
        """Count from zero again."""
        self.presses = 0

    def took_at_most(self, limit: int) -> None:
        """The presses since the count began are no more than `limit`."""
        print(f"{self.presses} presses of at most {limit}")
        assert self.presses <= limit, f"{self.presses} presses, at most {limit} wanted"


@dataclass(frozen=True, slots=True)
class Shop:
    """A served shop, its clock, and its people: Noor (owner), Desk (desk) and Dana (technician), Dana with a PIN."""

    served: Served
    clock: Clock

    @contextmanager
    def book(self) -> Iterator[Session]:
        """A session that looks into the book as it stands."""
        engine = make_engine(self.served.config.database_url)
        try:
            with Session(engine) as session:
                yield session
        finally:
            engine.dispose()

    @contextmanager
    def writing(self) -> Iterator[Session]:
        """A session whose changes are kept: for what happened before the journey begins."""
        engine = make_engine(self.served.config.database_url)
        try:
            with Session(engine) as session, transaction(session):
                yield session
        finally:
            engine.dispose()

    @contextmanager
    def hand(
        self, browser: Browser, who: str = "", *, size: dict[str, int] = PHONE, with_scripts: bool = True, **more: Any
    ) -> Iterator[Hand]:
        """A hand at the shop's host name, signed in as `who` if given; at the end nothing was complained of."""
        context = browser.new_context(
            viewport=size,  # type: ignore[arg-type]
            java_script_enabled=with_scripts,
            has_touch=size is PHONE,
            **more,
        )
        context.set_default_timeout(8_000)
        if who:
            cookie = signed_in_cookie(self.served.app, self.served.config.database_url, who)
            context.add_cookies([{"name": "shopbook", "value": cookie, "url": self.served.shop_url}])
        hand = Hand(context.new_page(), self.served.shop_url)
        listen(hand.page, hand.heard)
        try:
            yield hand
            assert hand.heard == [], hand.heard
        finally:
            context.close()


def listen(page: Page, heard: list[str]) -> None:
    """Write down what the browser complains of, and where; that a form was refused is no complaint."""

    def hear(said: ConsoleMessage) -> None:
        if said.type in {"error", "warning"} and not REFUSED.search(said.text):
            heard.append(f"{page.url}: {said.text}")

    page.on("console", hear)
    page.on("pageerror", lambda error: heard.append(f"{page.url}: {error}"))


@contextmanager
def open_shop(folder: Path, country: str = "us") -> Iterator[Shop]:
    """Start a book in the folder (an empty migrated one lies there), with its people, and serve it."""
    config = read_config({"SHOPBOOK_DATA": str(folder), "SHOPBOOK_HOSTS": SHOP_HOST})
    clock = Clock(MORNING)
    with serving(config, CLOCK=clock) as running:
        shop = Shop(running, clock)
        with shop.writing() as session:
            _start(session, config, country)
        yield shop


def _start(session: Session, config: Config, country: str) -> None:
    answers = FirstAnswers(
        country, "Quarry Lane Dent and Paint", 6500, "Noor", hash_password(PASSWORD), known_country(country).zones[0]
    )
    start_book(Act(session, THE_PROGRAM, STARTED), answers)
    if country == "us":
        answer_sales_tax(Act(session, THE_PROGRAM, STARTED), TAX)
    add_person(Act(session, THE_PROGRAM, STARTED), name="Desk", roles=[Role.DESK], skills=[], password_hash=None)
    dana = add_person(
        Act(session, THE_PROGRAM, STARTED),
        name="Dana",
        roles=[Role.TECHNICIAN],
        skills=["body", "paint", "detail"],
        password_hash=None,
    )
    dana.pin_hash = hash_pin(PIN, config.read_secret())
