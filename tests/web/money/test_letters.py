"""A paper whose letters cannot be printed is asked about before it is issued, and nothing of it is kept till then."""

from typing import Any

import pytest
from flask import Flask
from sqlalchemy import func, select, update
from sqlalchemy.orm import Session

from shopbook.documents import faces
from shopbook.models.customers import Customer
from shopbook.models.money import Invoice, Payment
from shopbook.models.session import transaction
from shopbook.models.shop import Paper
from shopbook.web.parts.act import db
from tests.clients import ShopClient, sentences
from tests.conftest import NOON
from tests.documents.test_scripts import read
from tests.makers.jobs import make_planned_job
from tests.makers.quotes import make_quote

ASKED = "Enter the name in other letters: this paper cannot print 田中太郎."


@pytest.fixture
def without_scripts(monkeypatch: pytest.MonkeyPatch) -> None:
    """A shop that did not install the extra."""
    monkeypatch.setattr(faces, "is_installed", lambda: False)


@pytest.fixture
def tanaka(app: Flask, job_number: int) -> int:
    """The job is that of a customer whose name is typed in kanji."""
    with app.app_context(), Session(db.engine) as opened, transaction(opened):
        opened.execute(update(Customer).values(name="田中 太郎"))
    return job_number


def count(app: Flask, table: Any) -> int:
    with app.app_context():
        found = db.session.scalar(select(func.count()).select_from(table)) or 0
        db.session.remove()
    return found


def customer(app: Flask) -> Customer:
    with app.app_context():
        found = db.session.scalars(select(Customer)).first()
        db.session.remove()
    assert found is not None
    return found


ISSUE = {"supply_on": "2026-11-04", "means": "later", "is_confirmed": "y", "last_number": "", "tax_number": ""}


@pytest.mark.usefixtures("without_scripts")
def test_an_invoice_asks_for_the_name_beside_its_field_and_keeps_nothing_until_it_is_typed(
    app: Flask, client: ShopClient, tanaka: int
) -> None:
    assert "printed_name" not in client.text(f"/money/jobs/{tanaka}/invoice")
    answer = client.press(f"/money/jobs/{tanaka}/invoice", **ISSUE)
    assert answer.status_code == 422
    assert any(said.startswith(ASKED) for said in sentences(answer.text))
    assert 'name="printed_name"' in answer.text
    assert count(app, Invoice) == 0
    page = client.press_on(f"/money/jobs/{tanaka}/invoice", **ISSUE, printed_name="Taro Tanaka")
    assert "Taro Tanaka" in page
    assert (customer(app).name, customer(app).printed_name) == ("田中 太郎", "Taro Tanaka")
    assert count(app, Paper) == 1


@pytest.mark.usefixtures("without_scripts")
def test_a_name_typed_in_runes_is_asked_for_again_and_stays_in_its_field(client: ShopClient, tanaka: int) -> None:
    answer = client.press(f"/money/jobs/{tanaka}/invoice", **ISSUE, printed_name="ᚠᚢᚦ")
    assert answer.status_code == 422
    assert "ᚠᚢᚦ" in answer.text.split('name="printed_name"')[1][:200]


@pytest.mark.usefixtures("without_scripts")
def test_a_deposit_asks_before_it_is_taken(app: Flask, client: ShopClient, tanaka: int) -> None:
    typed = {"amount": "100", "means": "cash", "treatment": "held", "on": "11/05/2026", "is_confirmed": "y"}
    answer = client.press(f"/money/jobs/{tanaka}/deposit", **typed)
    assert answer.status_code == 422
    assert any(said.startswith(ASKED) for said in sentences(answer.text))
    assert count(app, Payment) == 0
    client.press_on(f"/money/jobs/{tanaka}/deposit", **typed, printed_name="Taro Tanaka")
    assert count(app, Payment) == 1


def test_with_the_extra_nothing_is_asked_and_the_name_stands_on_the_paper(
    client: ShopClient, tanaka: int, tmp_path: Any
) -> None:
    client.press_on(f"/money/jobs/{tanaka}/invoice", **ISSUE)
    body = client.get("/money/invoices/1/pdf").data
    assert "田中 太郎" in read(body, tmp_path)


@pytest.mark.usefixtures("without_scripts")
def test_an_address_that_cannot_be_printed_is_quoted(app: Flask, client: ShopClient, job_number: int) -> None:
    with app.app_context(), Session(db.engine) as opened, transaction(opened):
        opened.execute(update(Customer).values(address="東京都 1-2"))
    answer = client.press(f"/money/jobs/{job_number}/invoice", **ISSUE)
    assert answer.status_code == 422
    assert "Enter “東京都 1-2” in other letters: this paper cannot print 東京都." in answer.text


@pytest.mark.usefixtures("without_scripts")
def test_a_quick_job_asks_for_the_name_beside_who_it_was_for(app: Flask, client: ShopClient) -> None:
    typed = {"who": "田中", "what": "Two stone chips", "price": "40", "means": "cash", "kind": "labour"}
    answer = client.press("/money/quick", **typed, is_confirmed="y")
    assert answer.status_code == 422
    assert any("Enter the name in other letters" in said for said in sentences(answer.text))
    assert count(app, Invoice) == 0


@pytest.mark.usefixtures("without_scripts")
def test_a_quote_leads_to_the_field_of_the_customer_and_back(app: Flask, client: ShopClient) -> None:
    with app.app_context(), Session(db.engine) as opened, transaction(opened):
        make_quote(opened, make_planned_job(opened, "right_quarter", at=NOON), at=NOON)
        opened.execute(update(Customer).values(name="田中 太郎"))
    answer = client.press("/money/quotes/1/give")
    place = answer.headers["Location"]
    assert place.startswith("/customers/1/change?then=")
    page = client.text(place)
    assert any(said.startswith(ASKED) for said in sentences(page))
    assert count(app, Paper) == 0
    kept = client.press(place, name="田中 太郎", printed_name="Taro Tanaka", kind="private", revision="1")
    assert kept.headers["Location"] == "/money/quotes/1"
    client.press_on("/money/quotes/1/give")
    assert count(app, Paper) == 1
