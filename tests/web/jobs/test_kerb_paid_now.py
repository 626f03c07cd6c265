"""A quick job out of the open quick estimate: the payment stands for the approval, and what the plan uses is gone."""

import re
from typing import Any

import pytest
from sqlalchemy import func, select

from shopbook.models.floor import ClockShare, Mix
from shopbook.models.jobs import Job, Stage
from shopbook.models.money import Approval, Invoice, Payment, Quote
from shopbook.models.shelf import Movement
from shopbook.web.parts.act import db
from tests.clients import ShopClient

PANEL: dict[str, Any] = {
    "panel": ["right_front_door"],
    "size.right_front_door": "M",
    "paint.right_front_door": "paint",
    "who": "Ann Weber",
}
FIRST: dict[str, Any] = {"first_asked": "yes", "is_confirmed": "y"}
PAID: dict[str, Any] = PANEL | {"then": "paid", "paid_by": "cash"}


def count(client: ShopClient, table: type) -> int:
    with client.app.app_context():
        return db.session.scalar(select(func.count()).select_from(table)) or 0


def total(client: ShopClient) -> str:
    """What the page says with tax."""
    page = client.press("/jobs/kerb", again="yes", **PANEL).text
    return page.split("With tax</span>", 1)[1].split("</b>")[0].split(">")[-1]


def test_one_press_does_bills_takes_the_money_and_lets_the_car_go(client: ShopClient) -> None:
    told = total(client)
    page = client.press_on("/jobs/kerb", **PAID, **FIRST)
    assert "Done. Invoice 1 issued." in page
    assert told in page
    with client.app.app_context():
        job = db.session.scalars(select(Job)).one()
        invoice, payment = db.session.scalars(select(Invoice)).one(), db.session.scalars(select(Payment)).one()
        approval = db.session.scalars(select(Approval)).one()
        stages = db.session.scalars(select(Stage)).all()
        assert (invoice.gross_minor, payment.amount_minor) == (payment.amount_minor, invoice.gross_minor)
        assert payment.means == "cash"
        assert told == f"${invoice.gross_minor / 100:,.2f}"
        assert (approval.means, approval.said_by, approval.party) == ("in_person", "Ann Weber", "customer")
        assert None not in (job.came_at, job.agreed_at, job.ready_at, job.handed_over_at, job.settled_at)
        assert len(stages) > 5
        assert all(stage.finished_at for stage in stages)
    assert (count(client, ClockShare), count(client, Mix)) == (0, 0)
    assert "Material as planned, hours not clocked." in client.text("/jobs/1")


def test_pressed_twice_it_is_one_job_and_one_invoice(client: ShopClient) -> None:
    answers = [client.press("/jobs/kerb", key="once", **PAID, **FIRST) for _ in range(2)]
    assert [answer.status_code for answer in answers] == [303, 303]
    assert answers[0].location == answers[1].location
    assert (count(client, Job), count(client, Invoice), count(client, Payment)) == (1, 1, 1)


def test_what_a_first_invoice_asks_is_asked_before_anything_is_kept(client: ShopClient) -> None:
    answer = client.press("/jobs/kerb", **PAID)
    assert answer.status_code == 422
    assert "This is your first invoice. Answer the questions below, then press again." in answer.text
    assert 'name="last_number"' in answer.text
    assert re.search(r'value="cash"[^>]*checked|checked[^>]*value="cash"', answer.text), "what was chosen stays"
    assert (count(client, Job), count(client, Quote), count(client, Invoice)) == (0, 0, 0)
    client.press_on("/jobs/kerb", **PAID, **FIRST, last_number="1041", number_prefix="2026-")
    assert "2026-1042" in client.text("/money/invoices/1")


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"paid_by": ""}, "Choose how it was paid."),
        ({"panel": []}, "Tap at least one damaged panel."),
        ({"shown": "1 another"}, "The price was worked out again for what is chosen now."),
        ({"signature": "M1 1L2 2L30 30"}, "There is a signature."),
        ({"who": ""}, "Enter a name, a phone number or a license plate. One is enough."),
        ({"last_number": "many"}, "Enter a whole number"),
    ],
)
def test_what_cannot_be_done_at_once_is_said_and_nothing_is_kept(
    client: ShopClient, changed: dict[str, Any], sentence: str
) -> None:
    answer = client.press("/jobs/kerb", **(PAID | FIRST | changed))
    assert answer.status_code == 422
    assert sentence in answer.text
    assert [count(client, each) for each in (Job, Quote, Approval, Invoice, Payment, Movement)] == [0] * 6


def test_whoever_takes_no_money_saves_the_estimate_only(client: ShopClient) -> None:
    floor = ShopClient(client.app).signed_in_as("Dana")
    answer = floor.get("/jobs/kerb")
    assert answer.status_code == 403 or "Quick job" not in answer.text
    floor.press("/jobs/kerb", **PAID, **FIRST)
    assert (count(client, Invoice), count(client, Payment)) == (0, 0)
