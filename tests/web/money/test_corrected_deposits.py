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


@pytest.fixture
def with_deposit(app: Flask, monkeypatch: pytest.MonkeyPatch) -> None:
    """Invoice 2 over 275.31 less the taxed deposit of 150.00 by card on deposit invoice 1."""
    monkeypatch.setattr(test_corrections, "PAGE", PAGE)
    engine = make_engine(app.config["SQLALCHEMY_DATABASE_URI"])
    with Session(engine) as session, transaction(session):
        act = Act(session, THE_PROGRAM, NOON)
        job = make_job(session, NOON, agreed_at=NOON, ready_at=NOON)
        add_quote(session, job, job.opened_at, [DOOR])
        take_deposit(act, job.id, amount_minor=15000, means="card", treatment="taxed")
        issue_invoice(act, job.id)
    engine.dispose()


def test_three_papers_are_seen_issued_and_kept_to_the_byte(client: ShopClient, with_deposit: None) -> None:
    """Right is 50.00 and nothing for paint: credit notes 1 and 2, invoice 3 over nothing, 100.00 back by card."""
    sent, page = look(client, **{"prices-0-amount": "50", "prices-1-amount": "0"})
    for words in ("Credit note 1", "Credit note 2 takes $100.00 off", "Invoice 3", "$100.00 is over"):
        assert words in page, words
    assert len(rows(client, Invoice)) == 2, "looking writes nothing"
    names = ("credit-note", "deposit-credit-note", "invoice")
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
    assert client.press(f"{PAGE}/deposit-credit-note", **sent).status_code == 404
