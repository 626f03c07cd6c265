"""A month is closed, reopened while its return is not filed, and closed again; every closing stays."""

from datetime import UTC, date, datetime
from typing import Any

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.documents.month.kept import kept_paper
from shopbook.models.money import Invoice, MonthClose
from shopbook.models.shop import LogLine
from shopbook.queries.money.closings import month_state
from shopbook.queries.reports.month import get_month_end
from shopbook.queries.reports.proofs import list_proofs
from shopbook.queries.shop.days import find_closed_through
from shopbook.services.act import Act
from shopbook.services.money.close import close_month, file_return, reopen_month
from shopbook.services.money.credits import credit_invoice
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.postings import refuse_closed
from shopbook.services.shop.papers import record_paper
from shopbook.trade.errors import Conflict, RuleBroken
from shopbook.trade.permissions import Actor
from shopbook.web.reports.month_paper import compose_closing
from tests.makers.billing import add_quote, make_job, prove

OCTOBER = datetime(2026, 10, 31, 16, 0, tzinfo=UTC)


@pytest.fixture
def october(session: Session, owner: Actor) -> Invoice:
    """1,000.00 invoiced on October 31."""
    job = make_job(session, OCTOBER)
    add_quote(session, job, job.opened_at, [("car", "Repair", [("labour", "Repair", 100_000)])])
    return issue_invoice(Act(session, owner, OCTOBER), job.id)


def close(act: Act, month: str = "2026-10", sha256: str = "") -> MonthClose:
    paper, numbers = compose_closing(act.session, month, act.day)
    made = close_month(act, month, kept_paper(paper), numbers=numbers, sha256=sha256)
    if sha256:
        keep_paper(act, made, sha256)
    return made


def keep_paper(act: Act, made: MonthClose, sha256: str) -> None:
    given: dict[str, Any] = {"kind": "month_end", "subject": "month_close", "subject_id": made.id}
    record_paper(act.session, act.moment, **given, sha256=sha256, size_bytes=1, file_name="month-end.pdf")


def test_closing_again_makes_version_2_and_both_stay(
    session: Session, owner: Actor, act: Act, october: Invoice
) -> None:
    """1,000.00; reopened, a credit note of 100.00 dated October 31; version 2 says 900.00, version 1 still 1,000.00."""
    close(act, sha256="a" * 64)
    with pytest.raises(RuleBroken, match="closed up to"):
        credit_invoice(Act(session, owner, OCTOBER), october.id, reason="goodwill", amount_minor=10_000)
    reopen_month(act, "2026-10", reason="goodwill forgotten")
    credit_invoice(Act(session, owner, OCTOBER), october.id, reason="goodwill", amount_minor=10_000)
    close(act, sha256="b" * 64)
    rows = session.scalars(select(MonthClose).order_by(MonthClose.version)).all()
    assert [(row.version, row.numbers["net_minor"], row.sha256[0]) for row in rows] == [
        (1, 100_000, "a"),
        (2, 90_000, "b"),
    ]
    assert find_closed_through(session) == date(2026, 10, 31)
    state = month_state(session, "2026-10")
    assert [closing.reopening is not None for closing in state.closings] == [True, False]
    said = session.scalars(select(LogLine.words).order_by(LogLine.id.desc()).limit(1)).one()
    assert said == "Closed October 2026 again, version 2"
    prove(session)


def test_the_whole_numbers_are_those_of_the_month(session: Session, act: Act, october: Invoice) -> None:
    numbers, figures = close(act).numbers, get_month_end(session, "2026-10")
    assert all(type(value) is int for value in numbers.values())
    assert numbers["net_minor"] == numbers["net_labour_minor"] == october.net_minor == 100_000
    assert numbers["gross_minor"] == figures.gross_minor
    assert numbers["owed_minor"] == 100_000
    assert numbers["shelf_closing_minor"] == figures.stock.closing_minor
    assert numbers["tax_none_0_basis_minor"] == 100_000


def test_only_the_newest_closed_month_is_reopened(session: Session, act: Act, october: Invoice) -> None:
    close(act, "2026-09")
    close(act)
    with pytest.raises(RuleBroken, match="Reopen October 2026 first"):
        reopen_month(act, "2026-09", reason="a slip")
    reopen_month(act, "2026-10", reason="a slip")
    assert find_closed_through(session) == date(2026, 9, 30)
    reopen_month(act, "2026-09", reason="a slip there too")
    assert find_closed_through(session) == date(2026, 8, 31)
    with pytest.raises(RuleBroken, match="Close September 2026 first"):
        close(act)
    close(act, "2026-09")
    close(act)
    assert find_closed_through(session) == date(2026, 10, 31)


def test_what_lies_before_the_first_closing_stays_closed(session: Session, act: Act, october: Invoice) -> None:
    close(act)
    reopen_month(act, "2026-10", reason="a slip")
    refuse_closed(session, date(2026, 10, 1))
    with pytest.raises(RuleBroken, match="closed up to September 30"):
        refuse_closed(session, date(2026, 9, 30))
    with pytest.raises(RuleBroken, match="Only the newest closed month"):
        reopen_month(act, "2026-09", reason="a slip")


def test_once_its_return_is_filed_it_stays_closed(session: Session, act: Act, october: Invoice) -> None:
    with pytest.raises(RuleBroken, match="Close October 2026 first"):
        file_return(act, "2026-10")
    close(act)
    file_return(act, "2026-10")
    with pytest.raises(RuleBroken, match="was filed: it stays closed"):
        reopen_month(act, "2026-10", reason="a slip")
    with pytest.raises(Conflict):
        file_return(act, "2026-10")
    assert not month_state(session, "2026-10").can_be_reopened


def test_without_a_reason_or_while_it_is_open_it_is_refused(session: Session, act: Act, october: Invoice) -> None:
    with pytest.raises(Conflict, match="is open"):
        reopen_month(act, "2026-10", reason="a slip")
    close(act)
    with pytest.raises(RuleBroken, match="Say in a few words"):
        reopen_month(act, "2026-10", reason=" ")
    reopen_month(act, "2026-10", reason="a slip")
    with pytest.raises(Conflict, match="is open"):
        reopen_month(act, "2026-10", reason="a slip")


def test_check_names_a_closing_whose_paper_is_another_one(session: Session, act: Act, october: Invoice) -> None:
    made = close_month(act, "2026-10", {}, sha256="a" * 64)
    keep_paper(act, made, "b" * 64)
    faults = [fault.said for proof in list_proofs(session) for fault in proof.faults if proof.code == "closing_papers"]
    assert faults == ["Closing 2026-10, version 1 names another paper than the one kept for it"]


def test_an_older_closing_holds_words_only(session: Session, now: datetime) -> None:
    session.add(MonthClose(month="2026-10", through_on=date(2026, 10, 31), figures={"Invoiced": "1,000.00"}, at=now))
    session.flush()
    (closing,) = month_state(session, "2026-10").closings
    assert (closing.holds_words_only, closing.close.version) == (True, 1)
