"""The search of the frame: what is offered while somebody types, what the page says, and that the role decides."""

import pytest
from flask import Flask
from lxml import html
from sqlalchemy import event, update

from shopbook.models.session import transaction
from shopbook.models.shop import Book
from shopbook.services.act import Act
from shopbook.services.money.invoices import issue_invoice
from shopbook.trade.permissions import THE_PROGRAM
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.makers import make_customer, make_vehicle
from tests.makers.billing import make_agreed_job
from tests.makers.jobs import make_job

Offer = tuple[str, str]


@pytest.fixture
def filled(client: ShopClient, app: Flask) -> ShopClient:
    """Job 1 of Ines Okafor, invoiced as 2026-1; job 2 of Thea Nord, a silver wagon, its key 11."""
    with app.app_context(), transaction(db.session()) as session:
        session.execute(update(Book).values(number_prefix="2026-"))
        now = app.config["CLOCK"]()
        issue_invoice(Act(session, THE_PROGRAM, now), make_agreed_job(session, now).id)
        thea = make_customer(session, "Thea Nord", "555-0101")
        car = make_vehicle(session, thea, plate="NRD 64", description="estate wagon", colour_name="silver")
        job = make_job(session, customer_id=thea.id, vehicle_id=car.id)
        job.key_number = "11"
    return client


def offered(client: ShopClient, typed: str) -> list[Offer]:
    """What is offered under the field: title and address."""
    answer = client.get("/jobs/find.json", query_string={"q": typed})
    assert answer.status_code == 200
    return [(each["title"], each["url"]) for each in answer.get_json()["options"]]


@pytest.mark.parametrize(
    ("typed", "title", "url"),
    [
        ("thea", "2 Thea Nord", "/jobs/2"),
        ("nrd64", "2 Thea Nord", "/jobs/2"),
        ("555-0101", "2 Thea Nord", "/jobs/2"),
        ("11", "2 Thea Nord", "/jobs/2"),
        ("silver wagon", "2 Thea Nord", "/jobs/2"),
        ("thea nrod", "2 Thea Nord", "/jobs/2"),
        ("2026-1", "Invoice 2026-1", "/money/invoices/1"),
        ("invoice 1", "Invoice 2026-1", "/money/invoices/1"),
    ],
)
def test_what_was_typed_offers_first_where_it_leads(filled: ShopClient, typed: str, title: str, url: str) -> None:
    assert offered(filled, typed)[0] == (title, url)


def test_a_number_offers_its_job_then_the_paper_of_that_number(filled: ShopClient) -> None:
    assert offered(filled, "1")[:2] == [("1 Ines Okafor", "/jobs/1"), ("Invoice 2026-1", "/money/invoices/1")]
    assert filled.get("/jobs/find?q=1").headers["Location"] == "/jobs/1"


def test_the_page_finds_the_same_without_script(filled: ShopClient) -> None:
    page = filled.text("/jobs/find?q=2026-1")
    assert 'href="/money/invoices/1"' in page
    (field,) = html.fromstring(filled.text("/jobs/find?q=silver+wagon")).xpath("//input[@type='search']")
    assert field.get("value") == "silver wagon"
    assert "close to it" in filled.text("/jobs/find?q=okafro")
    assert "Nothing found" in filled.text("/jobs/find?q=zzzzz")


def test_a_technician_finds_jobs_and_nothing_that_only_the_desk_may_open(filled: ShopClient) -> None:
    floor = ShopClient(filled.app).signed_in_as("Dana")
    assert offered(floor, "thea") == offered(floor, "nrd64") == offered(floor, "11") == [("2 Thea Nord", "/jobs/2")]
    for typed in ("555-0101", "2026-1", "invoice 1"):
        assert offered(floor, typed) == []
        assert "Thea" not in floor.text(f"/jobs/find?q={typed}")
    page = floor.text("/jobs/find?q=thea")
    assert "555-0101" not in page
    assert "/customers/" not in page
    assert "/money/" not in page
    for _, url in offered(floor, "ines") + offered(floor, "thea"):
        assert floor.get(url).status_code == 200


def test_a_job_without_a_name_never_shows_a_technician_the_phone(filled: ShopClient) -> None:
    with filled.app.app_context(), transaction(db.session()) as session:
        someone = make_customer(session, "", "555-0177")
        make_job(session, customer_id=someone.id, vehicle_id=make_vehicle(session, someone, plate="XYZ 9").id)
    assert offered(filled, "xyz9")[0][0] == "3 555-0177"
    floor = ShopClient(filled.app).signed_in_as("Dana")
    assert offered(floor, "xyz9") == [("3 Two doors hit by a post", "/jobs/3")]
    assert "555-0177" not in floor.text("/jobs/find?q=xyz9")


def test_a_firm_of_many_cars_is_still_offered_behind_its_newest_jobs(filled: ShopClient) -> None:
    with filled.app.app_context(), transaction(db.session()) as session:
        firm = make_customer(session, "Harbor Couriers", "")
        for number in range(8):
            car = make_vehicle(session, firm, plate=f"HC {number}")
            make_job(session, customer_id=firm.id, vehicle_id=car.id)
        firm_id = firm.id
    answer = filled.get("/jobs/find.json?q=harbor").get_json()
    urls = [each["url"] for each in answer["options"]]
    assert urls == [f"/jobs/{number}" for number in (10, 9, 8, 7, 6)] + [f"/customers/{firm_id}"]
    assert answer["has_more"]


def test_nothing_typed_offers_the_jobs_that_this_person_was_last_at(filled: ShopClient) -> None:
    assert filled.get("/jobs/find.json").get_json() == {"said": "", "options": [], "has_more": False}
    filled.press_on(
        "/jobs/book-in", who="Mia Brandt", wrong="A scrape", payer_kind="private", purpose="paid", drop_off_half=""
    )
    assert offered(filled, "") == [("3 Mia Brandt", "/jobs/3")]
    assert offered(ShopClient(filled.app).signed_in_as("Dana"), "") == []


def test_what_is_offered_takes_few_statements_however_much_is_found(filled: ShopClient) -> None:
    sent: list[str] = []

    def note(connection: object, cursor: object, statement: str, *rest: object) -> None:
        if statement.startswith(("SELECT", "WITH")):
            sent.append(statement)

    with filled.app.app_context():
        event.listen(db.engine, "before_cursor_execute", note)
    counts = {}
    for typed in ("", "64", "thea", "thea nrod"):
        sent.clear()
        offered(filled, typed)
        counts[typed] = len(sent)
    with filled.app.app_context():
        event.remove(db.engine, "before_cursor_execute", note)
    signed_in = counts[""] - 2
    assert counts["thea"] <= signed_in + 5
    assert counts["64"] <= signed_in + 6
    assert counts["thea nrod"] <= signed_in + 9
