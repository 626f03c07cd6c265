"""The tax of a new shop is asked on the spot: in the form that needs a total, or on the way there and back."""

from collections.abc import Iterator

import pytest
from flask import Flask
from sqlalchemy import select, text
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Invoice, Payment
from shopbook.models.session import make_engine, transaction
from shopbook.models.shop import Book, DatedTaxRate
from tests.clients import ShopClient, sentences
from tests.conftest import NOON
from tests.makers.billing import make_job
from tests.makers.quotes import make_kerb, make_quote
from tests.makers.shop import forget_taxes
from tests.web.rendering import find, parse
from tests.web.said import QUOTED

TEXAS = {
    "tax_rate": "8,25",
    "tax_place": "Austin, Texas",
    "tax_labour": "no",
    "tax_goods": "to_customer",
    "tax_apart": "yes",
}
QUICK = {"who": "Ines", "what": "buffed the fender", "price": "60", "means": "cash", "kind": "materials"}


@pytest.fixture
def book(app: Flask) -> Iterator[Session]:
    """The app's book as a new shop has it: no tax set, no address."""
    engine = make_engine(app.config["SQLALCHEMY_DATABASE_URI"])
    with Session(engine) as opened:
        with transaction(opened):
            forget_taxes(opened)
            opened.get_one(Book, 1).address = ""
        yield opened
    engine.dispose()


def kerb_quote(book: Session) -> tuple[int, int]:
    """Number and quote of a job priced at 600.00 at the car."""
    with transaction(book):
        job = make_job(book, NOON)
        return job.number, make_kerb(book, job, right_rear_door=60000).id


def test_a_quick_job_asks_four_questions_and_keeps_what_was_typed(book: Session, client: ShopClient) -> None:
    page = client.text("/money/quick")
    assert all(f'name="{name}"' in page for name in TEXAS)
    answer = client.press("/money/quick", **(QUICK | TEXAS | {"tax_rate": "a lot", "tax_labour": ""}))
    assert answer.status_code == 422
    assert {"Choose whether labor is taxed."} < set(sentences(answer.text))
    assert 'value="buffed the fender"' in answer.text
    assert 'value="Austin, Texas"' in answer.text
    assert book.scalars(select(DatedTaxRate)).all() == []
    client.press_on("/money/quick", **(QUICK | TEXAS))
    book.rollback()
    paper = book.scalars(select(Invoice)).one()
    assert (paper.gross_minor, paper.tax_minor) == (6000, 457)
    assert 'name="tax_rate"' not in client.text("/money/quick")


def test_a_deposit_in_a_new_book_asks_on_the_spot(book: Session, client: ShopClient) -> None:
    number, _ = kerb_quote(book)
    url = f"/money/jobs/{number}/deposit"
    assert all(
        words in client.text(url) for words in ('name="tax_rate"', 'name="address"', "Before your first deposit")
    )
    refused = client.press(url, amount="100", means="cash", treatment="")
    assert refused.status_code == 422
    assert book.scalars(select(Payment)).all() == []
    client.press_on(url, amount="100", means="cash", treatment="", address="1 Mill Road", **TEXAS)
    book.rollback()
    assert book.scalars(select(Payment.amount_minor)).all() == [10000]
    assert book.scalars(select(Book.address)).one() == "1 Mill Road"


def test_a_deposit_in_a_country_of_usual_rates_wants_them_confirmed(app: Flask, client: ShopClient) -> None:
    engine = make_engine(app.config["SQLALCHEMY_DATABASE_URI"])
    with Session(engine) as book, transaction(book):
        book.execute(text("DROP TRIGGER guard_tax_rate_update"))
        book.execute(text("UPDATE tax_rate SET is_confirmed = false"))
        job = make_job(book, NOON)
        make_kerb(book, job, right_rear_door=60000)
        number = job.number
    engine.dispose()
    url = f"/money/jobs/{number}/deposit"
    refused = client.press(url, amount="100", means="cash", treatment="taxed")
    assert any("Check the tax rates" in said for said in sentences(refused.text))
    client.press_on(url, amount="100", means="cash", treatment="taxed", is_confirmed="y")


def test_an_approval_leads_to_the_tax_and_back_with_a_total(book: Session, client: ShopClient) -> None:
    _, quote_id = kerb_quote(book)
    assert "plus sales tax" in client.text(f"/money/quotes/{quote_id}/share")
    url = f"/money/quotes/{quote_id}/approval"
    led = client.get(url)
    assert (led.status_code, led.headers["Location"]) == (303, f"/tax?then={url}")
    assert client.press("/tax", then=url, **(TEXAS | {"tax_goods": ""})).status_code == 422
    page = client.press_on("/tax", then=url, **TEXAS)
    assert find(parse(page), class_="totals")[0].text_content().endswith("$614.85")


def test_giving_an_estimate_leads_to_the_tax_and_back(book: Session, client: ShopClient) -> None:
    with transaction(book):
        quote_id = make_quote(book).id
    page = client.text(f"/money/quotes/{quote_id}")
    assert "Before sales tax" in page
    assert "Total with tax" not in page
    assert client.press(f"/money/quotes/{quote_id}/give").headers["Location"] == f"/tax?then=/money/quotes/{quote_id}"
    assert "Total with tax" in client.press_on("/tax", then=f"/money/quotes/{quote_id}", **TEXAS)


def test_a_price_at_the_car_is_kept_before_the_tax_is_set_and_an_approval_asks_it_next(
    book: Session, client: ShopClient
) -> None:
    page = client.text("/jobs/kerb?panel=right_front_door")
    assert "plus sales tax" in page
    assert 'id="kerb-approval"' not in page
    tapped = {"panel": "right_front_door", "size.right_front_door": "m", "paint.right_front_door": "paint"}
    kept = client.press("/jobs/kerb", who="Ines", then="yes", **tapped)
    assert kept.status_code == 303
    assert client.get(kept.headers["Location"]).headers["Location"].startswith("/tax?then=")
    assert len(book.scalars(select(Job)).all()) == 1


def test_no_page_of_a_new_shop_says_an_untaxed_sum_as_if_it_were_the_total(book: Session, client: ShopClient) -> None:
    number, _ = kerb_quote(book)
    page = client.text(f"/jobs/{number}")
    assert "Plus sales tax" in page
    assert QUOTED not in page


def test_a_canadian_shop_is_asked_its_province_alone(book: Session, client: ShopClient) -> None:
    with transaction(book):
        book.get_one(Book, 1).country = "ca"
    page = client.text("/tax")
    assert ("Nova Scotia, HST" in page, 'name="tax_rate"' in page) == (True, False)
    refused = client.press("/tax", tax_province="")
    assert "Choose the province or territory." in sentences(refused.text)[-1]
    client.press_on("/tax", tax_province="ns")
    assert book.scalars(select(DatedTaxRate.rate_thousandths)).all() == [14000]


def test_the_way_back_never_leads_to_another_site(book: Session, client: ShopClient) -> None:
    assert client.press("/tax", then="//elsewhere.example", **TEXAS).headers["Location"] == "/jobs/kerb"
