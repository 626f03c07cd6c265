"""The page on which a job gets another customer: what goes along is said, a known name is asked about."""

from datetime import timedelta

import pytest
from sqlalchemy import select

from shopbook.documents import faces
from shopbook.models.jobs import Job
from shopbook.models.session import transaction
from shopbook.models.shop import Paper
from shopbook.services.act import Act
from shopbook.services.money.deposits import take_deposit
from shopbook.services.money.invoices import issue_invoice
from shopbook.trade.permissions import THE_PROGRAM
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.conftest import NOON
from tests.makers.billing import make_agreed_job
from tests.makers.customers import make_customer


@pytest.fixture
def job(client: ShopClient) -> ShopClient:
    """Job 1 of Jana Kirk, 826.16 approved, 50.00 held and 100.00 taxed; Thea Lund is in the book."""
    with client.app.app_context(), transaction(db.session()) as session:
        jana = make_customer(session, "Jana Kirk", "555-0171")
        make_customer(session, "Thea Lund", "555-0172")
        made = make_agreed_job(session, NOON, customer=jana)
        act = Act(session, THE_PROGRAM, NOON - timedelta(hours=1))
        take_deposit(act, made.id, amount_minor=5_000, means="cash", treatment="held")
        take_deposit(act, made.id, amount_minor=10_000, means="card", treatment="taxed")
        db.session.expunge_all()
    return client


def revision(client: ShopClient) -> str:
    with client.app.app_context():
        return str(db.session.scalar(select(Job.revision)))


def test_the_page_is_two_presses_from_the_job_and_says_what_goes_along(job: ShopClient) -> None:
    assert 'href="/money/jobs/1/customer"' in job.text("/jobs/1")
    page = job.text("/money/jobs/1/customer")
    for words in ("Jana Kirk", "Estimate, version 1", "Deposit invoice 1", "$50.00", "$100.00", "stays as recorded"):
        assert words in page


def test_a_known_name_is_asked_about_and_pointed_at(job: ShopClient) -> None:
    answer = job.press("/money/jobs/1/customer", revision=revision(job), who="thea lund")
    assert "already. Choose below" in answer.text
    assert 'value="thea lund"' in answer.text
    page = job.press_on("/money/jobs/1/customer", revision=revision(job), who="thea lund", known="2")
    assert "Thea Lund" in page
    assert page.count("recorded under Jana Kirk") == 2


def test_every_new_paper_has_its_file(job: ShopClient) -> None:
    job.press_on("/money/jobs/1/customer", revision=revision(job), who="Thea Lund 555-0172")
    with job.app.app_context():
        kept = db.session.scalars(select(Paper.subject_id).where(Paper.subject == "invoice")).all()
    assert sorted(each or 0 for each in kept) == [1, 2, 3]


def test_a_name_that_the_paper_cannot_print_is_asked_for_and_nothing_is_kept(
    job: ShopClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(faces, "is_installed", lambda: False)
    sent = {"revision": revision(job), "who": "田中太郎 555-0188"}
    answer = job.press("/money/jobs/1/customer", **sent)
    assert answer.status_code == 422
    assert "cannot print 田中太郎" in answer.text
    assert "Jana Kirk" in job.text("/jobs/1")
    page = job.press_on("/money/jobs/1/customer", **sent, printed_name="Taro Tanaka")
    assert "田中太郎" in page
    assert "Taro Tanaka" in job.text("/money/invoices/3")


def test_an_invoiced_job_is_sent_to_its_invoice(job: ShopClient) -> None:
    with job.app.app_context(), transaction(db.session()) as session:
        issue_invoice(Act(session, THE_PROGRAM, NOON - timedelta(minutes=5)), 1)
        db.session.expunge_all()
    page = job.text("/money/jobs/1/customer")
    assert "Credit it first" in page
    assert "<h2>Whose job" not in page
    assert (
        "bills this job" in job.press("/money/jobs/1/customer", revision=revision(job), who="Thea Lund 555-0172").text
    )


def test_a_stale_page_is_a_conflict_and_what_was_typed_stays(job: ShopClient) -> None:
    answer = job.press("/money/jobs/1/customer", revision="99", who="Mia Brandt")
    assert (answer.status_code, 'value="Mia Brandt"' in answer.text) == (409, True)


@pytest.mark.parametrize("who", ["", "x" * 200])
def test_nothing_and_a_long_word_are_answered(job: ShopClient, who: str) -> None:
    answer = job.press("/money/jobs/1/customer", revision=revision(job), who=who)
    assert answer.status_code == (303 if who else 422)
