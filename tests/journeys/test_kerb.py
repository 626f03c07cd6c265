"""A price given at the kerb on a phone: two panels, a photo, a name, a yes; with scripts and without."""

import re
import time
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import Browser, Route, expect
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.customers import Customer
from shopbook.models.jobs import Damage, Job, Picture, Stage
from shopbook.models.money import Approval, Quote, QuoteGroup
from shopbook.outside.pictures import picture_path
from tests.journeys.hands import Hand, Shop

pytestmark = pytest.mark.browser

GPS_DIRECTORY = 0x8825


@pytest.fixture
def photo(tmp_path: Path) -> Path:
    """A photo of a phone: turned on its side, with the position where it was taken."""
    exif = Image.Exif()
    exif[0x0112] = 6
    exif[GPS_DIRECTORY] = {1: "N", 2: (41.0, 46.0, 12.0), 3: "W", 4: (72.0, 40.0, 30.0)}
    path = tmp_path / "door.jpg"
    picture = Image.new("RGB", (64, 48), "#2f5f9b")
    picture.paste("#ffffff", (0, 0, 32, 48))
    picture.save(path, exif=exif)
    with Image.open(path) as opened:
        assert opened.getexif().get_ifd(GPS_DIRECTORY)
    return path


def price_of(book: Session, job_id: int, panel: str) -> int | None:
    """What the quote of a job asks for one panel, in minor units."""
    asked = select(QuoteGroup.price_minor).join(Quote, QuoteGroup.quote_id == Quote.id)
    return book.scalars(asked.where(Quote.job_id == job_id, QuoteGroup.key == panel)).one()


def newest_job(shop: Shop) -> int:
    with shop.book() as book:
        return book.scalars(select(Job.number).order_by(Job.id.desc())).first() or 0


def test_two_panels_a_photo_and_a_yes_in_few_presses(shop: Shop, browser: Browser, photo: Path) -> None:
    with shop.hand(browser, "Desk") as hand:
        hand.go("/jobs/kerb")
        began = time.monotonic()
        hand.begin_count()
        hand.attach(photo)
        for panel in ("right_front_door", "right_rear_door"):
            hand.tap(f'a[data-panel="{panel}"]')
            hand.page.wait_for_selector(f'[data-card="{panel}"]')
        rear = hand.page.locator('[data-card="right_rear_door"]')
        price = hand.page.locator("#price-right_rear_door")
        listed = price.input_value()
        with hand.page.expect_response(lambda answer: "paint.right_rear_door=no_paint" in answer.url):
            hand.pick("No paint", inside=rear)
        expect(price).not_to_have_value(listed)
        assert float(price.input_value()) < float(listed)
        with hand.page.expect_response(lambda answer: "size.right_rear_door=S" in answer.url):
            hand.pick("S", inside=rear)
        hand.tap(price)
        price.fill("160")
        hand.fill("Name or phone", "Mia 555-0164")
        price.blur()
        # Each answer that is under way shuts the fold again.
        expect(hand.page.locator("form[data-kerb]")).not_to_have_attribute("aria-busy", "true")
        hand.page.locator("details[data-shop-only] summary").click()
        hand.says("Shop only", "h planned")
        hand.page.locator("[data-compare]").click()
        hand.says("Noor costs")
        assert price.input_value() == "160"
        covers = " ".join((hand.page.locator("#kerb-shop").text_content() or "").split())
        assert re.search(
            r"This price brings \$[\d.]+ an hour after materials. Enter what Noor costs to see this\.", covers
        )
        hand.press("Save as approved")
        hand.says("Please do this work for")
        hand.pick("The customer above")
        hand.draw()
        hand.press("Save as approved")
        hand.arrives(r"/jobs/\d+$")
        seconds = time.monotonic() - began
        print(f"kerb price with yes: {hand.presses} presses, {seconds:.1f} s of machine")
        hand.took_at_most(12)
        hand.says("Coats on the panel", "Approvals")
        assert hand.page.locator("#plan ul.plan > li:not(.rest)").count() > 3
        assert hand.page.locator(".photos img").count() == 1
    assert_it_stands(shop, newest_job(shop))


def test_a_price_changed_after_the_signature_wants_another(shop: Shop, browser: Browser) -> None:
    with shop.hand(browser, "Desk") as hand:
        hand.go("/jobs/kerb?panel=bonnet")
        hand.press("Save as approved")
        hand.draw()
        assert hand.page.input_value("#signature").count("L") > 5
        hand.fill("Price, $", "777")
        hand.page.locator("#price-bonnet").blur()
        hand.page.get_by_text("The price changed after signing").wait_for()
        assert hand.page.input_value("#signature") == ""
        hand.says("Please do this work for $777.00")
        hand.draw()
        assert not hand.page.get_by_text("The price changed after signing").is_visible()
        hand.fill("Name or phone", "Mia Brandt")
        hand.pick("The customer above")
        hand.press("Save as approved")
        hand.arrives(r"/jobs/\d+$")
    with shop.book() as book:
        approval = book.scalars(select(Approval).order_by(Approval.id.desc())).first()
        assert approval is not None
        assert (approval.means, approval.said_by) == ("signed", "Mia Brandt")


def assert_it_stands(shop: Shop, number: int) -> None:
    """Two dents, one photo without a position, a plan, a given price as typed, and a signed yes."""
    with shop.book() as book:
        job = book.scalars(select(Job).where(Job.number == number)).one()
        assert book.get_one(Customer, job.customer_id).phone == "555-0164"
        hurt = {each.panel: each for each in book.scalars(select(Damage).where(Damage.job_id == job.id))}
        assert {panel: (each.size, each.paint) for panel, each in hurt.items()} == {
            "right_front_door": ("M", "paint"),
            "right_rear_door": ("S", "no_paint"),
        }
        assert len(book.scalars(select(Stage).where(Stage.job_id == job.id)).all()) > 3
        quote = book.scalars(select(Quote).where(Quote.job_id == job.id)).one()
        assert price_of(book, job.id, "right_rear_door") == 16000
        assert quote.given_at == shop.clock()
        approval = book.scalars(select(Approval).where(Approval.job_id == job.id)).one()
        assert (approval.means, approval.said_by) == ("signed", "Mia")
        assert approval.signature.count("L") > 5
        assert job.agreed_at is not None
        kept = book.scalars(select(Picture).where(Picture.job_id == job.id)).one()
        files = [picture_path(shop.served.config.pictures_folder, key) for key in (kept.sha256, kept.thumbnail_sha256)]
    for file in files:
        with Image.open(file) as opened:
            assert not opened.getexif().get_ifd(GPS_DIRECTORY)
            assert opened.height > opened.width


def test_the_kerb_price_needs_no_script(shop: Shop, browser: Browser, photo: Path) -> None:
    with shop.hand(browser, "Desk", with_scripts=False) as hand:
        hand.go("/jobs/kerb")
        hand.begin_count()
        for panel in ("right_front_door", "right_rear_door"):
            hand.tap(f'a[data-panel="{panel}"]')
        rear = hand.page.locator('[data-card="right_rear_door"]')
        hand.pick("No paint", inside=rear)
        hand.pick("S", inside=rear)
        hand.press("Update the price")
        hand.tap("#price-right_rear_door")
        hand.page.locator("#price-right_rear_door").fill("160")
        hand.press("Update the price")
        assert hand.page.input_value("#price-right_rear_door") == "160"
        hand.attach(photo)
        hand.fill("Name or phone", "555-0172")
        hand.press("Save as approved")
        hand.arrives(".*/approval$")
        keep_a_typed_yes(hand)
        hand.took_at_most(14)
    number = newest_job(shop)
    with shop.book() as book:
        job = book.scalars(select(Job).where(Job.number == number)).one()
        approval = book.scalars(select(Approval).where(Approval.job_id == job.id)).one()
        assert (approval.means, approval.said_by, approval.signature) == ("in_person", "Mia", "")
        assert price_of(book, job.id, "right_rear_door") == 16000
        assert book.scalars(select(Picture).where(Picture.job_id == job.id)).one().width > 0


def keep_a_typed_yes(hand: Hand) -> None:
    hand.pick("In person")
    hand.fill("Name", "Mia")
    hand.press("Save approval")
    hand.arrives(r"/jobs/\d+$")


def test_a_count_of_small_dents_and_a_plate_are_enough(shop: Shop, browser: Browser) -> None:
    with shop.hand(browser, "Desk") as hand:
        hand.go("/jobs/kerb")
        hand.begin_count()
        hand.tap('a[data-panel="bonnet"]')
        hand.page.wait_for_selector('[data-card="bonnet"]')
        hand.pick("No paint")
        hand.unfold("Several small dents")
        hand.fill("Number of dents", "24")
        hand.fill("Name or phone", "KTR 204")
        hand.press("Save")
        hand.arrives(r"/jobs/\d+$")
        hand.took_at_most(6)
    number = newest_job(shop)
    with shop.book() as book:
        job = book.scalars(select(Job).where(Job.number == number)).one()
        dents = book.scalars(select(Damage).where(Damage.job_id == job.id)).one()
        assert dents.dent_count == 24
        assert job.vehicle_id is not None
        assert job.wrong == "Hood: 24 small dents"
        quote = book.scalars(select(Quote).where(Quote.job_id == job.id)).one()
        assert quote.given_at is None, "only saved: nobody was told"


def test_quick_taps_on_a_slow_network_are_all_kept(shop: Shop, browser: Browser) -> None:
    with shop.hand(browser, "Desk") as hand:
        hand.go("/jobs/kerb")
        asked = []

        def late(route: Route) -> None:
            asked.append(route.request.url)
            hand.page.wait_for_timeout(400)
            route.continue_()

        hand.page.route(re.compile(r"/jobs/kerb\?"), late)
        for panel in ("bonnet", "bonnet", "right_front_door"):
            hand.tap(f'a[data-panel="{panel}"]')
        hand.fill("Name or phone", "555-0171")
        hand.press("Save")
        hand.arrives(r"/jobs/\d+$")
        assert len(asked) >= 2
        hand.page.unroute_all(behavior="ignoreErrors")
    with shop.book() as book:
        job = book.scalars(select(Job).where(Job.number == newest_job(shop))).one()
        assert set(book.scalars(select(Damage.panel).where(Damage.job_id == job.id))) == {"bonnet", "right_front_door"}
