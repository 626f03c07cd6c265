"""The page on which an approval is withdrawn, and what the job's page says afterwards."""

import pytest
from sqlalchemy.orm import Session

from shopbook.models.jobs import Stage
from shopbook.models.session import transaction
from shopbook.queries.jobs.plans import list_bare_stages
from shopbook.services.act import Act
from shopbook.services.money.invoices import issue_invoice
from shopbook.trade.permissions import THE_PROGRAM
from shopbook.web.parts.act import db
from tests.asking import begin_stage
from tests.clients import ShopClient
from tests.conftest import NOON
from tests.makers.jobs import make_planned_job
from tests.makers.quotes import make_given_quote, make_yes

PAGE = "/money/approvals/1/withdraw"


@pytest.fixture
def approved(client: ShopClient) -> ShopClient:
    """Job 1 with a planned door, approved at noon; its first stage is begun."""
    with client.app.app_context(), transaction(db.session()) as session:
        quote = make_given_quote(session, make_planned_job(session, at=NOON), at=NOON)
        make_yes(session, quote, at=NOON)
        begin_stage(Act(session, THE_PROGRAM, NOON), first_stage(session).id)
        db.session.expunge_all()
    return client


def first_stage(session: Session) -> Stage:
    return list_bare_stages(session, 1)[0]


def test_it_is_reached_from_the_job_and_names_the_approval(approved: ShopClient) -> None:
    assert f'href="{PAGE}"' in approved.text("/jobs/1")
    page = approved.text(PAGE)
    assert "Estimate, version 1: customer, Nov 5" in page
    assert "Ines Okafor" in page


def test_the_reason_stands_on_the_job_and_begun_stages_are_flagged(approved: ShopClient) -> None:
    page = approved.press_on(PAGE, reason="Changed her mind <b>")
    assert "Changed her mind &lt;b&gt;" in page
    with approved.app.app_context():
        name = first_stage(db.session()).name
    assert f"Begun, not approved any more: {name}" in page
    assert "<summary>Withdraw an approval" not in page


def test_it_waits_for_an_answer_on_today_again(approved: ShopClient) -> None:
    before = approved.text("/today")
    after = (approved.press_on(PAGE, reason="Changed her mind"), approved.text("/today"))[1]
    assert "/money/quotes/1" not in before
    assert "/money/quotes/1" in after


def test_without_a_reason_and_while_an_invoice_bills_it_nothing_is_kept(approved: ShopClient) -> None:
    assert approved.press(PAGE, reason="").status_code == 422
    with approved.app.app_context(), transaction(db.session()) as session:
        issue_invoice(Act(session, THE_PROGRAM, NOON), 1)
        db.session.expunge_all()
    answer = approved.press(PAGE, reason="Changed her mind")
    assert (answer.status_code, "Invoice 1 bills this approval" in answer.text) == (422, True)
    assert 'value="Changed her mind"' in answer.text


def test_a_second_press_from_another_tab_is_a_conflict_and_the_page_says_it_was_done(approved: ShopClient) -> None:
    approved.press_on(PAGE, reason="Changed her mind")
    assert approved.press(PAGE, reason="Changed her mind").status_code == 409
    assert "Withdrawn on Nov 5: Changed her mind" in approved.text(PAGE)
    assert approved.get("/money/approvals/99/withdraw").status_code == 404


def test_the_floor_may_not_withdraw(approved: ShopClient) -> None:
    dana = ShopClient(approved.app).signed_in_as("Dana")
    assert dana.press(PAGE, reason="Changed her mind").status_code == 403
    assert PAGE not in dana.text("/jobs/1")
