"""The page that matches invoice lines from before keys: where it is offered, and what it fills in by itself."""

import re
from datetime import timedelta

import pytest
from flask import Flask
from sqlalchemy.orm import Session

from shopbook.models.session import make_engine, transaction
from shopbook.services.act import Act
from shopbook.services.money.invoices import issue_invoice
from shopbook.trade.permissions import THE_PROGRAM
from tests.clients import ShopClient, sentences
from tests.conftest import NOON
from tests.makers.billing import ARCH, QUARTER, add_quote, forget_keys, make_job


@pytest.fixture
def number(app: Flask) -> int:
    """A job whose invoice is from before keys, with an extra of 40.00 approved since."""
    engine = make_engine(app.config["SQLALCHEMY_DATABASE_URI"])
    with Session(engine) as session, transaction(session):
        job = make_job(session, NOON - timedelta(hours=2))
        add_quote(session, job, job.opened_at, [QUARTER])
        job.ready_at = NOON
        forget_keys(session, issue_invoice(Act(session, THE_PROGRAM, NOON - timedelta(hours=2)), job.id))
        add_quote(session, job, NOON - timedelta(hours=1), [ARCH], kind="extra")
        found = job.number
    engine.dispose()
    return found


def test_the_way_from_the_job_to_the_further_invoice_leads_over_the_match(client: ShopClient, number: int) -> None:
    match = f"/money/jobs/{number}/match"
    assert match in client.text(f"/jobs/{number}")
    assert match in client.text(f"/money/jobs/{number}/invoice")
    page = client.text(match)
    chosen = dict(re.findall(r'name="(line_\d+)"[^>]*>.*?<option selected value="(\d+)"', page, re.DOTALL))
    assert len(chosen) == page.count("<select"), "their sums tell the lines apart"
    client.press_on(match, **chosen)
    assert "40.00" in client.text(f"/money/jobs/{number}/invoice")
    assert match not in client.text(f"/jobs/{number}")


def test_a_line_left_without_a_choice_is_asked_for_beside_its_field(client: ShopClient, number: int) -> None:
    names = re.findall(r'name="(line_\d+)"', client.text(f"/money/jobs/{number}/match"))
    answer = client.press(f"/money/jobs/{number}/match", **dict.fromkeys(names, ""))
    assert answer.status_code == 422
    assert sentences(answer.text).count("Choose the approved line that this one bills.") == 1


def test_a_job_whose_lines_all_have_keys_has_no_such_page(client: ShopClient, job_number: int) -> None:
    assert client.get(f"/money/jobs/{job_number}/match").status_code == 404
