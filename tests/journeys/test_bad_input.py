"""What no book should take, whoever types it: said in a sentence or kept as plain text, never half done."""

from unicodedata import decimal

import pytest
from lxml import html
from playwright.sync_api import Browser
from sqlalchemy import func, select

from shopbook.models.customers import Customer
from shopbook.models.jobs import Job, Picture, Stage
from shopbook.queries.reports.proofs import list_proofs
from shopbook.services.act import Act
from shopbook.services.shelf.deliveries import Came, take_in_delivery
from shopbook.trade.permissions import THE_PROGRAM
from tests.clients import ShopClient
from tests.journeys.crawling import crawl
from tests.journeys.hands import DESK, Hand, Shop
from tests.makers import STARTED, make_customer
from tests.makers.billing import make_agreed_job
from tests.makers.jobs import make_planned_job
from tests.makers.quotes import make_given_quote
from tests.makers.shelf import make_material, make_supplier

pytestmark = pytest.mark.browser

MARKUP = '<script>document.title="taken"</script><b onmouseover=alert(1)>"&amp;'
NAMES = ("Łukasz Żółć", "山田 太郎", "محمد علي", "דוד לוי", "Σοφία", "นภา", "🚗 Ines", "I\u0307nes\u200d")
HOSTILE = {
    "empty": "",
    "over-long": "x" * 12_000,
    "negative": "-5",
    "huge": "9" * 30,
    "letters": "about ten",
    "wrong unit": "5 furlongs",
    "long ago": "0001-01-01",
    "no number": "NaN",
    "other figures": "１２٣",
    "formula": '=HYPERLINK("http://elsewhere.example")',
    "markup": MARKUP,
    "any script": NAMES[2] + NAMES[6],
}
TEXT = {"text", "search", "tel", "email", "number", "date", "time", "month", ""}
SKIPPED = {"shop.own_pin", "shop.password", "shop.sign_in", "shop.devices", "shop.person", "shop.new_person"}
"""Forms that take secrets: their fields are never shown again, and signing out ends the walk."""


@pytest.fixture(scope="module", autouse=True)
def filled(shop: Shop) -> None:
    """Jobs in several standings, something on the shelf, a supplier."""
    now = shop.clock()
    with shop.writing() as book:
        supplier = make_supplier(book)
        clear = make_material(book, supplier_id=supplier.id)
        take_in_delivery(
            Act(book, THE_PROGRAM, STARTED), supplier_id=supplier.id, lines=[Came(clear.id, 4000, packs_quarters=8)]
        )
        make_given_quote(book, make_planned_job(book, "left_front_door", at=STARTED))
        make_planned_job(book, "bonnet", is_agreed=True, at=STARTED).came_at = now
        make_agreed_job(book, now)


@pytest.fixture(scope="module")
def addresses(shop: Shop, filled: None) -> dict[str, str]:
    """One page of each kind that the owner reaches."""
    found = crawl(shop.served.app, "Noor").items()
    return {endpoint: urls[0] for endpoint, urls in found if urls and endpoint not in SKIPPED}


def forms_of(client: ShopClient, url: str) -> list[html.FormElement]:
    """The forms of a page that send something typed, each with the address that it goes to."""
    answer = client.get(url, follow_redirects=True)
    if answer.status_code == 404:
        return []
    found = [form for form in html.fromstring(answer.text).forms if form.method == "POST" and typed_names(form)]
    for form in found:
        form.action = form.action or answer.request.full_path
    return found


def typed_names(form: html.FormElement) -> list[str]:
    return [
        each.name
        for each in form.iter("input", "textarea")
        if each.get("name") and (each.tag == "textarea" or each.get("type", "text") in TEXT)
    ]


def fill(form: html.FormElement, typed: str) -> list[tuple[str, str]]:
    """What the browser would send with `typed` in every field that takes letters."""
    names = set(typed_names(form))
    kept = [(name, value) for name, value in form.form_values() if name not in names | {"csrf_token"}]
    return kept + [(name, typed) for name in names]


@pytest.mark.parametrize("what", HOSTILE)
def test_every_form_takes_it_as_text_or_says_a_sentence(shop: Shop, addresses: dict[str, str], what: str) -> None:
    client = ShopClient(shop.served.app).signed_in_as("Noor")
    wrong, sent = [], 0
    for endpoint, url in addresses.items():
        for form in forms_of(client, url):
            data: dict[str, list[str]] = {"csrf_token": ["token"]}
            for name, value in fill(form, HOSTILE[what]):
                data.setdefault(name, []).append(value)
            answer = client.http.post(form.action, data=data)
            sent += 1
            wrong += judge(f"{endpoint} {form.action}", answer.status_code, answer.text, HOSTILE[what], form)
    assert sent > 30
    assert wrong == [], "\n".join(wrong)
    prove(shop)


def judge(where: str, status: int, text: str, typed: str, form: html.FormElement) -> list[str]:
    """What is wrong with an answer: a crash, a refusal without a sentence, or one that lost what was typed."""
    if status not in {303, 404, 409, 422}:
        return [f"{where}: {status}"]
    if MARKUP in text:
        return [f"{where}: markup stands as it was typed"]
    if status not in {409, 422}:
        return []
    page = html.fromstring(text)
    if not page.xpath("//*[@role='alert'] | //*[contains(@class, 'error')]"):
        return [f"{where}: {status} without a sentence"]
    return [] if status == 409 else lost(where, page, typed, form)


def lost(where: str, page: html.HtmlElement, typed: str, form: html.FormElement) -> list[str]:
    """The fields that no longer hold what was typed."""
    names = set(typed_names(form))
    shown = {each.name: each.value or "" for each in page.iter("input", "textarea") if each.get("name") in names}
    # A browser's own date and clock fields send nothing that is no date.
    kinds = {each.get("name"): each.get("type", "") for each in form.iter("input")}
    gone = [
        name
        for name, value in shown.items()
        if in_own_figures(value) != in_own_figures(typed) and kinds.get(name) not in {"date", "time", "month"}
    ]
    return [f"{where}: {name} holds {shown[name][:40]!r} instead" for name in gone]


def in_own_figures(text: str) -> str:
    """The text with figures of any script as the program writes them."""
    return "".join(str(decimal(mark)) if mark.isdecimal() else mark for mark in text.strip())


def prove(shop: Shop) -> None:
    with shop.book() as book:
        assert [fault for proof in list_proofs(book) for fault in proof.faults] == []


@pytest.mark.parametrize("number", ["999999", "0", "99999999999999999999", "-1", "one"])
def test_what_is_not_in_the_book_is_a_page_that_says_so(shop: Shop, number: str) -> None:
    client = ShopClient(shop.served.app).signed_in_as("Noor")
    places = (
        "jobs",
        "customers",
        "shelf",
        "money/invoices",
        "money/quotes",
        "money/payments",
        "floor/stages",
        "people",
    )
    for place in places:
        answer = client.get(f"/{place}/{number}")
        assert answer.status_code == 404, place
        assert "<h1" in answer.text


def test_a_form_sent_twice_is_done_once(shop: Shop, browser: Browser) -> None:
    with shop.hand(browser, "Desk") as hand:
        hand.go("/customers/new")
        hand.fill("Name", "Twice Sent", exact=True)
        hand.press("Save")
        hand.arrives(r"/customers/\d+$")
        first = hand.path
        hand.page.go_back()
        hand.page.get_by_label("Name", exact=True).fill("Twice Sent")
        hand.press("Save")
        hand.arrives(r"/customers/\d+")
        again = hand.path
    with shop.book() as book:
        named = book.scalar(select(func.count()).select_from(Customer).where(Customer.name == "Twice Sent"))
    # The page was made anew on the way back, or the old key led where it had led: never two by one key.
    assert named == (1 if first == again else 2)


def test_the_older_of_two_tabs_is_told_and_keeps_what_it_typed(shop: Shop, browser: Browser) -> None:
    with shop.writing() as book:
        key = make_customer(book, "Tab Holder", "555-0188").id
    with shop.hand(browser, "Desk", size=DESK) as hand:
        hand.go(f"/customers/{key}/change")
        other = Hand(hand.page.context.new_page(), hand.url)
        other.go(f"/customers/{key}/change")
        other.fill("Note", "Rings after six")
        other.press("Save")
        other.arrives(rf"/customers/{key}$")
        hand.fill("Note", "Never rings")
        hand.press("Save")
        said = hand.page.get_by_role("alert").inner_text()
        assert "in the meantime" in said, said
        assert hand.page.get_by_label("Note").input_value() == "Never rings"
    with shop.book() as book:
        assert book.get_one(Customer, key).note == "Rings after six"


def test_markup_and_names_of_any_script_stand_as_typed_on_pages_and_paper(shop: Shop, browser: Browser) -> None:
    with shop.hand(browser, "Desk", size=DESK) as hand:
        for name in (*NAMES, MARKUP, MARKUP):
            hand.go("/jobs/book-in")
            hand.fill("Name or phone", name, exact=False)
            hand.fill("What’s wrong?", f"{name} dent")
            with hand.page.expect_navigation():
                hand.press("Book in")
            if "/book-in" in hand.path:
                # Another form was fed that name before: the page asks whether it is the same person.
                hand.page.get_by_label("Someone else with that name").check()
                hand.press("Book in")
            hand.arrives(r"/jobs/\d+$")
            # A name is kept in one form of its letters, marks that show nothing taken off.
            visible = name.replace("\u200d", "")
            shown = hand.page.locator("main").inner_text()
            assert visible[-3:] in shown or visible[:4] in shown, (name, shown[:300])
            assert not hand.page.title().startswith("taken")
            assert hand.page.locator("main script, main b[onmouseover]").count() == 0


def test_a_day_before_the_job_is_said_beside_its_field(shop: Shop, browser: Browser) -> None:
    with shop.hand(browser, "Desk") as hand:
        hand.go("/jobs/2/days")
        hand.fill("Promised day", "2025-12-31")
        hand.press("Save")
        error = hand.page.locator("#promise_on-error").inner_text()
        assert error.endswith(".")
        assert hand.page.get_by_label("Promised day").input_value() == "2025-12-31"
    with shop.book() as book:
        assert book.scalars(select(Job.promise_on).where(Job.number == 2)).one() is None


def test_hours_that_are_none_keep_the_plan_as_it_was(shop: Shop, browser: Browser) -> None:
    with shop.book() as book:
        stage = book.scalars(select(Stage).where(Stage.job_id == 2).order_by(Stage.position)).first()
        assert stage is not None
    with shop.hand(browser, "Desk") as hand:
        for typed in ("-1", "a while", "1000", "٣ furlongs"):
            hand.go(f"/jobs/2/plan/{stage.id}")
            hand.fill("Hours", typed, exact=True)
            hand.press("Save")
            assert hand.page.locator("#planned_minutes-error").inner_text().strip(), typed
            assert hand.page.get_by_label("Hours", exact=True).input_value() == typed
    with shop.book() as book:
        assert book.get_one(Stage, stage.id).planned_minutes == stage.planned_minutes


def test_nothing_was_kept_of_what_was_refused(shop: Shop) -> None:
    with shop.book() as book:
        assert book.scalar(select(func.count()).select_from(Picture)) == 0
    prove(shop)
