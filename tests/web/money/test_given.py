"""A given quote and a receipt say on screen, as a text and on paper what they said, whatever changes behind them."""

import re
from collections.abc import Iterator
from datetime import timedelta
from io import BytesIO
from typing import Any

import pytest
from flask import Flask
from pypdf import PdfReader
from sqlalchemy import select, text, update
from sqlalchemy.orm import Session

from shopbook.documents.quote import make_quote_file
from shopbook.documents.slip import make_slip_file
from shopbook.models.customers import Customer, Vehicle
from shopbook.models.jobs import Damage, Job
from shopbook.models.money import Invoice, Payment, Quote, QuoteGroup, QuoteLine, Receipt
from shopbook.models.session import make_engine, transaction
from shopbook.models.shop import Book, DatedTaxRate, LabourRate, Setting
from shopbook.queries.money.receipts import find_receipt
from shopbook.trade.countries import known_country
from shopbook.web.money.invoice_view import receipt_of
from shopbook.web.money.quote_known import read_quote
from shopbook.web.money.quote_view import quote_paper
from shopbook.web.parts.act import db
from tests.clients import ShopClient, photo
from tests.conftest import NOON
from tests.makers.jobs import make_planned_job
from tests.makers.quotes import make_quote

EARLY = NOON - timedelta(hours=3)


def write(app: Flask, act: Any) -> None:
    """Do something to the book behind everybody's back."""
    engine = make_engine(app.config["SQLALCHEMY_DATABASE_URI"])
    with Session(engine) as session, transaction(session):
        act(session)
    engine.dispose()


@pytest.fixture
def given(app: Flask, client: ShopClient) -> Iterator[ShopClient]:
    """Quote 1 of two panels, given with its paper."""
    write(app, lambda session: make_quote(session, make_planned_job(session, "right_quarter", "rear_bumper", at=EARLY)))
    client.press_on("/money/quotes/1/give")
    return client


def change_all(session: Session) -> None:
    """Rates from the very day, an hour's price, the shop's words and name, the country, names, plan and rows."""
    plain = {"from_on": NOON.date(), "at": NOON}
    kinds = ["labour", "materials", "part", "colour", "sublet", "fee"]
    for code in ("sales", "none"):
        session.add(
            DatedTaxRate(
                code=code, name="New tax", rate_thousandths=25000, line_kinds=kinds, is_confirmed=True, **plain
            )
        )
    session.add(LabourRate(skill="body", payer_kind="any", rate_minor=9900, **plain))
    session.add(Setting(name="storage_words", value="Storage is 40 a day.", **plain))
    session.execute(update(Book).values(shop_name="Other Name", address="9 New Road", country="gb", currency="GBP"))
    session.execute(update(Customer).values(name="Somebody Else", address="1 Far Street"))
    session.execute(update(Vehicle).values(plate="NEW 1", colour_name="pink", colour_hex="#ff00ff"))
    session.execute(update(Damage).values(panel="left_front_wing"))
    session.execute(update(Job).values(wrong="something else", promise_on=NOON.date(), was_there="a scratch"))
    session.execute(update(QuoteGroup).values(title="Another title", below="Other words"))
    session.execute(update(QuoteLine).values(amount_minor=1))
    session.execute(update(Quote).values(not_included="Everything", words="New words", deposit_minor=77))


def paper_text(page: str) -> str:
    """The paper on a quote's page, without the buttons around it."""
    return page[page.index('<article class="paper') : page.index("</article>")]


def made_anew(client: ShopClient) -> tuple[bytes, Any]:
    """The quote's paper as it would be printed now from the book."""
    with client.app.test_request_context():
        paper = quote_paper(read_quote(db.session(), 1), for_print=True)
        body = make_quote_file(paper)
        db.session.remove()
    return body, paper


def test_screen_text_and_paper_say_what_was_given_whatever_changed_since(app: Flask, given: ShopClient) -> None:
    before = [paper_text(given.text("/money/quotes/1")), given.text("/money/quotes/1/share")]
    kept, (body, paper) = given.get("/money/quotes/1/pdf").data, made_anew(given)
    assert kept == body, "the row holds all that the paper was made from"
    write(app, change_all)
    page = given.text("/money/quotes/1")
    shown = re.sub(r'"(outline|panel)[^"]*"', "", paper_text(page))
    assert (paper.gross, paper.head.shop, paper.parts[0].title) != ("", "Other Name", "Another title")
    for words in (
        "Other Name",
        "Another title",
        "Somebody Else",
        "New tax",
        "Storage is 40",
        "Everything",
        "something",
    ):
        assert words not in shown
    assert made_anew(given) == (body, paper)
    assert given.get("/money/quotes/1/pdf").data == kept
    wanted = re.findall(r"<textarea.*?</textarea>", before[1], re.DOTALL)
    assert re.findall(r"<textarea.*?</textarea>", given.text("/money/quotes/1/share"), re.DOTALL) == wanted
    assert wanted


def test_what_is_approved_later_comes_to_what_was_given(app: Flask, given: ShopClient) -> None:
    price = made_anew(given)[1].gross
    write(app, change_all)
    write(app, lambda session: session.execute(update(Book).values(country="us", currency="USD")))
    given.press_on(
        "/money/quotes/1/approval", groups=["1", "2"], means="phone", taken_by="1", said_by="Ines", revision="2"
    )
    with app.app_context():
        amount = db.session.scalar(text("SELECT amount_minor FROM approval"))
        db.session.remove()
    assert amount == int(price.replace(",", "").replace(".", ""))
    assert price in paper_text(given.text("/money/quotes/1"))


def test_a_renamed_panel_keeps_its_old_name_on_what_was_given(given: ShopClient, monkeypatch: Any) -> None:
    screen, (body, paper) = paper_text(given.text("/money/quotes/1")), made_anew(given)
    assert any(part.coats for part in paper.parts)
    monkeypatch.setattr(type(known_country("us")), "panel", lambda self, code: "renamed")
    monkeypatch.setattr(type(known_country("us")), "panels", dict.fromkeys(known_country("us").panels, "renamed"))
    assert made_anew(given) == (body, paper)
    assert paper_text(given.text("/money/quotes/1")) == screen


def test_an_extra_shows_its_own_photo_and_the_quote_does_not(app: Flask, given: ShopClient) -> None:
    given.press_on(
        "/money/quotes/1/approval", groups=["1", "2"], means="phone", taken_by="1", said_by="Ines", revision="2"
    )
    answer = given.press(
        "/money/jobs/1/extra",
        title="Rust behind the arch",
        price="97.50",
        days="1,5",
        promise_on="2026-11-20",
        picture=photo(),
    )
    assert answer.status_code == 303
    given.press_on("/money/quotes/2/give")
    extra = given.text("/money/quotes/2")
    assert "1 photo in the PDF" in extra
    assert "This adds about 1.5 working days. New day for pickup: Friday, November 20, 2026." in extra
    assert "photo in the PDF" not in given.text("/money/quotes/1")
    pages = PdfReader(BytesIO(given.get("/money/quotes/2/pdf").data)).pages
    assert sum(len(page.images) for page in pages) == 1


def test_days_that_are_none_are_said_beside_their_field(given: ShopClient) -> None:
    given.press_on(
        "/money/quotes/1/approval", groups=["1", "2"], means="phone", taken_by="1", said_by="Ines", revision="2"
    )
    answer = given.press("/money/jobs/1/extra", title="Rust", price="97.50", days="soon")
    assert answer.status_code == 422
    assert "Enter working days from 0 to 99, for example 2 or 1.5." in answer.text
    assert 'value="soon"' in answer.text


def receipt_made_anew(client: ShopClient) -> bytes:
    with client.app.test_request_context():
        session = db.session()
        found = session.scalars(select(Payment).where(Payment.series == "receipt").order_by(Payment.id)).first()
        assert found is not None
        kept = find_receipt(session, found)
        assert kept is not None
        body = make_slip_file(receipt_of(found.number, kept))
        db.session.remove()
    return body


def shown_receipt(client: ShopClient) -> str:
    page = client.text("/money/payments/1")
    return page[page.index('id="receipt"') : page.index("</section>", page.index('id="receipt"'))]


def test_a_receipt_says_for_ever_what_it_said_when_the_money_was_taken(
    app: Flask, client: ShopClient, job_number: int
) -> None:
    """200.00 taken as a deposit and held; then the customer is renamed, the shop moves, the invoice takes the money."""
    client.press_on(f"/money/jobs/{job_number}/deposit", amount="200", means="card", treatment="held")
    screen, kept = shown_receipt(client), client.get("/money/payments/1/pdf").data
    assert receipt_made_anew(client) == kept
    client.press_on(
        f"/money/jobs/{job_number}/invoice", supply_on="2026-11-04", last_number="2317", tax_number="00-0000000"
    )
    write(app, change_all)
    assert shown_receipt(client) == screen
    assert receipt_made_anew(client) == kept
    assert client.get("/money/payments/1/pdf").data == kept
    assert "Invoice 2318" in client.text("/money/payments/1"), "where the money stands today is told beside it"


def test_every_receipt_is_kept_whichever_way_money_moved(app: Flask, client: ShopClient, job_number: int) -> None:
    client.press_on(f"/money/jobs/{job_number}/deposit", amount="50", means="card", treatment="security")
    client.press_on(f"/money/jobs/{job_number}/invoice", supply_on="2026-11-04", last_number="2317", tax_number="")
    client.press_on("/money/payments/1/keep")
    client.press_on(f"/money/jobs/{job_number}/pay", payer="1", amount="900", means="transfer", invoice_id="")
    last = client.text(f"/jobs/{job_number}").count("/money/payments/")
    assert last
    client.press_on("/money/payments/4/refund", amount="10", means="transfer", reason="too much")
    with app.app_context():
        wanted = set(db.session.scalars(select(Payment.id).where(Payment.series == "receipt")))
        assert set(db.session.scalars(select(Receipt.payment_id))) == wanted
        assert len(wanted) == 5
        assert db.session.scalar(select(Invoice.id).limit(1))
        db.session.remove()
