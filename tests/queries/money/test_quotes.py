"""What is asked about quotes: which wait for an answer, and how many became work."""

from datetime import date, datetime, timedelta

from sqlalchemy.orm import Session

from shopbook.queries.money.approvals import agreed_sums_of
from shopbook.queries.money.billable import agreed_work
from shopbook.queries.money.open_quotes import quotes_without_answer
from shopbook.queries.money.quotes import find_current_quote, get_quote, quote_months
from shopbook.queries.money.whose import risks_of
from shopbook.services.act import Act
from shopbook.services.money.frozen import freeze_left
from shopbook.services.money.quote_parts import add_group
from shopbook.services.money.quotes import give_quote, lose_quote, withdraw_quote
from shopbook.trade.permissions import Actor
from tests.makers.jobs import make_planned_job
from tests.makers.quotes import GIVEN, make_given_quote, make_quote, make_yes


def test_only_quotes_that_reached_their_customer_wait_for_an_answer(
    session: Session, owner: Actor, now: datetime
) -> None:
    waiting = make_given_quote(session)
    make_quote(session)
    unsent = make_quote(session)
    give_quote(Act(session, owner, GIVEN), unsent.id, revision=unsent.revision)
    make_yes(session, make_given_quote(session))
    withdraw_quote(Act(session, owner, GIVEN), make_given_quote(session).id)
    lose_quote(Act(session, owner, GIVEN), make_given_quote(session).id, "time")
    day = GIVEN.date() + timedelta(days=31)
    (row,) = quotes_without_answer(session, day)
    assert (row.quote.id, row.days, row.is_past) == (waiting.id, 31, True)
    assert row.gross_minor > 0
    assert [row.days for row in quotes_without_answer(session, GIVEN.date())] == [0]


def test_months_tell_what_was_quoted_what_became_work_and_why_the_rest_did_not(session: Session, owner: Actor) -> None:
    make_yes(session, make_given_quote(session))
    make_given_quote(session)
    for why in ("price", "price", "no_answer"):
        lose_quote(Act(session, owner, GIVEN), make_given_quote(session).id, why)
    (month,) = quote_months(session, date(2026, 1, 1), date(2026, 1, 31))
    assert (month.month, month.given, month.became_work) == ("2026-01", 5, 1)
    assert month.lost == {"price": 2, "no_answer": 1}
    assert quote_months(session, date(2026, 2, 1), date(2026, 2, 28)) == []


def test_a_second_version_does_not_count_as_a_second_quote(session: Session) -> None:
    job = make_planned_job(session)
    make_given_quote(session, job)
    second = make_given_quote(session, job, at=GIVEN + timedelta(days=40))
    assert find_current_quote(session, job.id) is second
    assert [row.given for row in quote_months(session, date(2026, 1, 1), date(2026, 12, 31))] == [1]


def test_sums_and_risks_of_many_jobs_agree_with_one_by_one(session: Session) -> None:
    quotes = [make_given_quote(session, make_planned_job(session, payer_kind="insurer")) for _ in range(3)]
    for quote in quotes[:2]:
        make_yes(session, quote)
    sums = agreed_sums_of(session, [quote.job_id for quote in quotes])
    assert [sums[quote.job_id].gross_minor > 0 for quote in quotes] == [True, True, False]
    risks = risks_of(session, [quote.job_id for quote in quotes])
    assert risks == {quote.job_id: sums[quote.job_id].gross_minor for quote in quotes[:2]}


def test_what_the_owner_left_is_told_and_the_other_way_of_what_was_taken_is_not(
    session: Session, owner: Actor, now: datetime
) -> None:
    quote = make_quote(session)
    first, second = quote.groups
    add_group(Act(session, owner, GIVEN), quote.id, revision=quote.revision, beside_id=first.id)
    quote = give_quote(Act(session, owner, GIVEN), quote.id, revision=get_quote(session, quote.id).revision)
    make_yes(session, quote, first.id)
    assert freeze_left(agreed_work(session, [quote.job_id])[quote.job_id]) == [second.title]
