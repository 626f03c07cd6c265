"""One payment over several invoices: spread, shown, changed, saved; nothing is saved that was not shown."""

from flask import Flask
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Allocation, Payment
from shopbook.services.act import Act
from shopbook.services.money.invoices import issue_invoice
from shopbook.trade.permissions import THE_PROGRAM
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.conftest import NOON
from tests.makers import make_customer
from tests.makers.billing import make_agreed_job
from tests.makers.states import BEFORE, make_in

URL = "/money/customers/1/payment"


def three_invoices(app: Flask) -> None:
    def issue(session: Session) -> Job:
        dealer = make_customer(session, "Harbor Motors", kind="dealer")
        for _ in range(3):
            job = make_agreed_job(session, NOON, customer=dealer, agreed_at=BEFORE)
            issue_invoice(Act(session, THE_PROGRAM, NOON), job.id)
        return job

    make_in(app, issue)


def typed(parts: list[str], **given: str) -> dict[str, str]:
    rows = {}
    for place, part in enumerate(parts):
        rows |= {f"rows-{place}-invoice_id": str(place + 1), f"rows-{place}-amount": part}
    return {"means": "transfer", "reference": "", "on": "2026-11-05", "step": "save", **rows, **given}


def set_against(client: ShopClient) -> list[int]:
    with client.app.app_context():
        return list(db.session.scalars(select(Allocation.amount_minor).order_by(Allocation.id)))


def test_the_spread_is_shown_oldest_first_and_saved_as_it_was_changed(app: Flask, client: ShopClient) -> None:
    three_invoices(app)
    assert f'href="{URL}"' in client.text("/money/")
    assert f'href="{URL}"' in client.text("/customers/1")
    page = client.press(URL, amount="2000", step="show").text
    assert [f'value="{part}"' in page for part in ("826.16", "347.68")] == [True, True]
    assert "Nothing is left over." in page
    assert 'value="2026-11-05"' in page
    assert set_against(client) == []
    said = client.press_on(URL, **typed(["826.16", "800", "373.84"], amount="2000", shown="0"))
    assert "Saved. Receipt 1." in said
    assert set_against(client) == [82616, 80000, 37384]
    assert "Invoice 3, job 3" in client.text("/money/payments/1")
    assert client.get("/money/payments/1/pdf").data.startswith(b"%PDF")


def test_what_is_left_over_is_said_before_it_is_saved(app: Flask, client: ShopClient) -> None:
    three_invoices(app)
    page = client.press(URL, amount="2500", step="show").text
    assert "$21.52 is left over" in page
    sent = typed(["826.16", "826.16", "800"], amount="2500", shown="21.52")
    refused = client.press(URL, **sent)
    assert refused.status_code == 422
    assert "$47.68 would be left over as credit. Save again if that is right." in refused.text
    assert 'name="shown" value="47.68"' in refused.text
    assert set_against(client) == []
    client.press_on(URL, **(sent | {"shown": "47.68"}))
    with client.app.app_context():
        assert db.session.scalars(select(Payment.amount_minor)).all() == [250000]


def test_bad_amounts_are_said_and_what_was_typed_stays(app: Flask, client: ShopClient) -> None:
    three_invoices(app)
    for amount in ("", "0", "lots"):
        answer = client.press(URL, amount=amount, step="show")
        assert answer.status_code == 422
        assert "for example 120 or 120.50" in answer.text
    answer = client.press(URL, **typed(["900", "0", "0"], amount="900", shown="0"))
    assert answer.status_code == 422
    assert "On invoice 1 $826.16 is still to pay." in answer.text
    assert 'value="900"' in answer.text
    answer = client.press(URL, **typed(["x", "0", "0"], amount="900", shown="0"))
    assert answer.status_code == 422
    assert set_against(client) == []


def test_a_payer_without_invoices_is_told_so(client: ShopClient, app: Flask) -> None:
    make_in(app, lambda session: make_agreed_job(session, NOON, agreed_at=BEFORE))
    assert "has no invoice to pay" in client.text(URL)
