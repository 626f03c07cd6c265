"""The page that corrects an invoice to a price below its deposit, pressed as the desk presses it."""

import pytest
from flask import Flask
from sqlalchemy.orm import Session

from shopbook.models.money import Invoice, Payment
from shopbook.models.session import make_engine, transaction
from shopbook.services.act import Act
from shopbook.services.money.deposits import take_deposit
from shopbook.services.money.invoices import issue_invoice
from shopbook.trade.permissions import THE_PROGRAM
from tests.clients import ShopClient
from tests.conftest import NOON
from tests.makers.billing import add_quote, make_job
from tests.web.money import test_corrections
from tests.web.money.test_corrections import DOOR, look, rows

PAGE = "/money/invoices/2/correct"


def invoice_with(app: Flask, *deposits_minor: int) -> None:
    """An invoice over 275.31 less taxed deposits by card on deposit invoices 1, 2, …"""
    engine = make_engine(app.config["SQLALCHEMY_DATABASE_URI"])
    with Session(engine) as session, transaction(session):
        act = Act(session, THE_PROGRAM, NOON)
        job = make_job(session, NOON, agreed_at=NOON, ready_at=NOON)
        add_quote(session, job, job.opened_at, [DOOR])
        for amount_minor in deposits_minor:
            take_deposit(act, job.id, amount_minor=amount_minor, means="card", treatment="taxed")
        issue_invoice(act, job.id)
    engine.dispose()


@pytest.fixture
def with_deposit(app: Flask, monkeypatch: pytest.MonkeyPatch) -> None:
    """Invoice 2 less the deposit of 150.00."""
    monkeypatch.setattr(test_corrections, "PAGE", PAGE)
    invoice_with(app, 15000)


def test_three_papers_are_seen_issued_and_kept_to_the_byte(client: ShopClient, with_deposit: None) -> None:
    """Right is 50.00 and nothing for paint: credit notes 1 and 2, invoice 3 over nothing, 100.00 back by card."""
    sent, page = look(client, **{"prices-0-amount": "50", "prices-1-amount": "0"})
    for words in ("Credit note 1", "Credit note 2 takes $100.00 off", "Invoice 3", "$100.00 is over"):
        assert words in page, words
    assert len(rows(client, Invoice)) == 2, "looking writes nothing"
    names = ("credit-note", "deposit-credit-note-1", "invoice")
    seen = [client.press(f"{PAGE}/{paper}", **sent).data for paper in names]
    assert all(paper[:5] == b"%PDF-" for paper in seen)
    page = client.press_on(PAGE, step="issue", **sent)
    assert "Issued credit note 1 and invoice 3." in page
    assert [client.get(f"/money/invoices/{paper}/pdf").data for paper in (3, 4, 5)] == seen
    back = rows(client, Payment)[-1]
    assert (back.amount_minor, back.means, back.kind) == (-10000, "card", "refund")  # type: ignore[attr-defined]
    assert "Credit note 2" in client.text("/money/invoices")


def test_without_a_cut_there_is_no_third_paper(client: ShopClient, with_deposit: None) -> None:
    sent, page = look(client, **{"prices-0-amount": "180"})
    assert "deposit-credit-note" not in page
    assert client.press(f"{PAGE}/deposit-credit-note-1", **sent).status_code == 404


def test_each_of_two_deposits_has_its_credit_note_to_look_at(
    client: ShopClient, app: Flask, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Right is 20.00: of deposits of 100.00 and 50.00 the second is credited whole, the first down to 20.00."""
    page_of_third = "/money/invoices/3/correct"
    monkeypatch.setattr(test_corrections, "PAGE", page_of_third)
    invoice_with(app, 10000, 5000)
    sent, page = look(client, **{"prices-0-amount": "20", "prices-1-amount": "0"})
    names = ("credit-note", "deposit-credit-note-1", "deposit-credit-note-2", "invoice")
    assert [f"{page_of_third}/{name}" in page for name in names] == [True] * 4
    seen = [client.press(f"{page_of_third}/{name}", **sent).data for name in names]
    client.press_on(page_of_third, step="issue", **sent)
    assert [client.get(f"/money/invoices/{paper}/pdf").data for paper in (4, 5, 6, 7)] == seen
