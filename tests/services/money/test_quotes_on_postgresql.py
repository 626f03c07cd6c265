"""A quote's whole round on PostgreSQL: drafted, given, said yes to by both, asked about."""

from datetime import date, timedelta

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError
from sqlalchemy.orm import Session

from shopbook.models.session import make_engine, transaction
from shopbook.queries.money.approvals import waits_for_approval
from shopbook.queries.money.open_quotes import quotes_without_answer
from shopbook.queries.money.quotes import quote_months
from shopbook.services.act import Act
from shopbook.services.money.approvals import ask_again
from shopbook.trade.permissions import THE_PROGRAM
from tests.asking import agreed_sum
from tests.asking import risk_of_job as at_risk
from tests.makers import make_book
from tests.makers.jobs import make_planned_job
from tests.makers.quotes import GIVEN, make_given_quote, make_yes

pytestmark = pytest.mark.postgresql


def test_a_quote_goes_its_whole_round_and_its_yes_cannot_be_rewritten(postgres_url: str) -> None:
    engine = make_engine(postgres_url)
    with Session(engine) as session, transaction(session):
        make_book(session)
        quote = make_given_quote(session, make_planned_job(session, payer_kind="insurer"))
        open_quote = make_given_quote(session)
        ask_again(Act(session, THE_PROGRAM, GIVEN), quote.id, "payer")
        make_yes(session, quote)
        job_id, open_id = quote.job_id, open_quote.id
    with Session(engine) as session:
        assert agreed_sum(session, job_id).gross_minor == at_risk(session, job_id) > 0
        assert {(row.quote.job_id == job_id, row.party) for row in waits_for_approval(session)} == {
            (True, "payer"),
            (False, "customer"),
        }
        waiting = quotes_without_answer(session, GIVEN.date() + timedelta(days=3))
        assert [row.quote.id for row in waiting] == [open_id]
        (month,) = quote_months(session, date(2026, 1, 1), date(2026, 12, 31))
        assert (month.given, month.became_work) == (2, 1)
    with Session(engine) as session, pytest.raises(DBAPIError, match="append-only"), transaction(session):
        session.execute(text("UPDATE approval SET amount_minor = 1"))
    engine.dispose()
