"""The pages about customers, pressed as the desk presses them."""

import re
from html import unescape

import pytest
from sqlalchemy import update

from shopbook.models.customers import Customer
from shopbook.models.session import transaction
from shopbook.models.shop import Book
from shopbook.web.parts.act import db
from tests.clients import ShopClient, refused_fields
from tests.makers import make_customer


def test_a_customer_and_a_car_are_added_and_found(client: ShopClient) -> None:
    page = client.press_on("/customers/new", name="Ines Okafor", phone="555-0142", kind="private")
    assert "Ines Okafor" in page
    page = client.press_on("/customers/vehicles/new?owner=1", plate="KTR 204", description="hatchback", finish="")
    assert "KTR 204" in page
    assert "Ines Okafor" in client.text("/jobs/find?q=ktr204")


def test_a_double_press_adds_one_customer_and_leads_to_the_same_page(client: ShopClient) -> None:
    answers = [client.press("/customers/new", key="one", name="Ines", kind="private") for _ in range(2)]
    assert client.count(Customer) == 1
    assert len({answer.headers["Location"] for answer in answers}) == 1


def test_an_empty_form_says_what_to_do_and_keeps_what_was_typed(client: ShopClient) -> None:
    answer = client.press("/customers/new", note="called about a van", kind="private")
    assert answer.status_code == 422
    assert refused_fields(answer.text) == ["name"]
    assert "called about a van" in answer.text
    assert client.count(Customer) == 0


def test_an_over_long_name_is_refused_beside_its_field(client: ShopClient) -> None:
    answer = client.press("/customers/new", name="x" * 201, kind="private")
    assert answer.status_code == 422
    assert "at most 200 characters" in answer.text


def test_markup_in_a_name_is_shown_as_text(client: ShopClient) -> None:
    page = client.press_on("/customers/new", name="<b>Bold</b> & Sons", kind="dealer")
    assert "&lt;b&gt;Bold&lt;/b&gt; &amp; Sons" in page


def test_a_stale_page_is_answered_with_409_and_what_was_typed(client: ShopClient) -> None:
    client.press_on("/customers/new", name="Ines", kind="private")
    client.press_on("/customers/1/change", name="Ines O.", kind="private", revision="1")
    answer = client.press("/customers/1/change", name="Ines P.", kind="private", revision="1")
    assert answer.status_code == 409
    assert "Ines P." in answer.text


def test_an_unknown_customer_is_a_page_and_not_an_error(client: ShopClient) -> None:
    assert client.get("/customers/999").status_code == 404


def test_a_press_without_the_token_or_from_elsewhere_does_nothing(client: ShopClient) -> None:
    assert client.http.post("/customers/new", data={"name": "X"}).status_code == 403
    answer = client.http.post(
        "/customers/new",
        data={"name": "X", "csrf_token": "token", "act_key": "k"},
        headers={"Origin": "http://elsewhere.example"},
    )
    assert answer.status_code == 403
    assert client.count(Customer) == 0


def test_a_technician_may_not_open_the_customers(client: ShopClient) -> None:
    assert client.signed_in_as("Dana").get("/customers/").status_code == 403


@pytest.mark.parametrize(
    ("then", "leads_to"), [("/money/jobs/1/payers", "/money/jobs/1/payers"), ("//elsewhere.example", "/customers/")]
)
def test_a_payer_that_was_added_leads_back_to_who_pays_and_nowhere_else(
    client: ShopClient, then: str, leads_to: str
) -> None:
    url = f"/customers/new?kind=insurer&then={then}"
    assert '<option selected value="insurer">' in client.text(url)
    answer = client.press(url, name="Quiet Harbour Insurance", kind="insurer")
    assert answer.status_code == 303
    assert answer.headers["Location"].startswith(leads_to)


def test_who_gave_only_a_phone_stands_in_the_list_and_every_page_of_it_goes_on(client: ShopClient) -> None:
    """Fifty-two of one name fill a page and more: nobody is passed over where it breaks."""
    with client.app.app_context(), transaction(db.session()) as session:
        make_customer(session, "", "555-0164")
        for _ in range(52):
            make_customer(session, "Ines Okafor", "")
        make_customer(session, "Mia Brandt", "")
    first = client.text("/customers/")
    assert first.count("555-0164") == 1
    assert first.count(">Ines Okafor<") == 49
    more = re.search(r'href="([^"]*)">More', first)
    assert more is not None
    second = client.text(unescape(more[1]))
    assert (second.count(">Ines Okafor<"), second.count(">Mia Brandt<"), second.count('">More</a>')) == (3, 1, 0)


@pytest.mark.parametrize(
    ("country", "words"),
    [
        ("us", ("License plate", "Color code", ">Gray<", ">Matte<", "Packing slip number", ">Shop supplies<")),
        ("gb", ("Registration", "Colour code", ">Grey<", ">Matt<", "Delivery note number", ">Consumables<")),
    ],
)
def test_a_car_and_the_shelf_are_asked_in_the_words_of_the_country(
    client: ShopClient, country: str, words: tuple[str, ...]
) -> None:
    with client.app.app_context(), transaction(db.session()) as session:
        session.execute(update(Book).values(country=country))
    page = "".join(client.text(place) for place in ("/customers/vehicles/new", "/shelf/deliver", "/shelf/new"))
    assert [word for word in words if word not in page] == []
    assert re.findall(r"\{[A-Za-z]\w*\}", page) == []
