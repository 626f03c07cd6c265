"""A given quote is one row that nothing changes: its sums, its approvals and its bill read that row alone."""

from datetime import date, datetime, timedelta

import pytest
from sqlalchemy import Engine, select, text, update
from sqlalchemy.exc import DBAPIError
from sqlalchemy.orm import Session

from shopbook.models.money import GivenQuote, QuoteLine
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.money.approvals import agreed_quotes_of
from shopbook.queries.money.open_quotes import quotes_without_answer
from shopbook.queries.money.quotes import bill_of_quote, get_quote
from shopbook.services.act import Act
from shopbook.services.money.extras import ExtraDays, draft_extra
from shopbook.services.money.quick import quick_job
from shopbook.services.money.quotes import NewPaper, give_quote
from shopbook.services.shop.rates import set_labour_rates
from shopbook.trade.errors import Conflict, RuleBroken
from shopbook.trade.permissions import THE_PROGRAM
from shopbook.trade.pricing.given import given_from_json
from tests.asking import agreed_sum
from tests.house.test_query_plans import watching
from tests.makers.billing import set_tax
from tests.makers.jobs import make_planned_job
from tests.makers.quotes import GIVEN, make_given_quote, make_kerb, make_quote, make_yes

HASH = "ab" * 32


def rows(session: Session) -> list[GivenQuote]:
    session.flush()
    return list(session.scalars(select(GivenQuote).order_by(GivenQuote.id)))


def change_everything(session: Session, at: datetime) -> None:
    """Rates, an hour's price and even the rows behind the quote change, on the very day and later."""
    kinds = ["labour", "materials", "part", "colour", "sublet", "fee"]
    for code in ("sales", "none"):
        set_tax(session, code, "New tax", 25000, kinds, date(2026, 1, 1), at)
    set_labour_rates(Act(session, THE_PROGRAM, at), {("body", "any"): 9900}, date(2026, 1, 1))
    session.execute(update(QuoteLine).values(amount_minor=1))
    session.flush()


def test_however_a_quote_is_given_one_row_keeps_it(session: Session, act: Act) -> None:
    made = [make_given_quote(session), make_kerb(session, make_planned_job(session, "rear_bumper"), rear_bumper=40000)]
    quick = quick_job(act, who="Ines", what="Polish a scratch", price_minor=5000, means="cash")
    wanted = [quote.id for quote in made]
    assert [row.quote_id for row in rows(session)][:2] == wanted
    assert len(rows(session)) == 3
    for row in rows(session):
        assert given_from_json(row.content).words is not None
        assert not row.is_reconstructed
    last = get_quote(session, rows(session)[-1].quote_id)
    assert (last.job_id, bill_of_quote(session, last).gross_minor) == (quick.job_id, 5000)


def test_a_draft_follows_todays_rates_and_a_given_quote_does_not(session: Session) -> None:
    given, draft = make_given_quote(session), make_quote(session)
    before = bill_of_quote(session, given)
    change_everything(session, GIVEN)
    session.expire_all()
    assert bill_of_quote(session, get_quote(session, given.id)) == before
    assert bill_of_quote(session, get_quote(session, draft.id)) != before


def test_an_approval_and_what_it_comes_to_are_of_the_frozen_lines(session: Session) -> None:
    quote = make_given_quote(session)
    whole = bill_of_quote(session, quote)
    part = bill_of_quote(session, quote, [quote.groups[0].id])
    change_everything(session, GIVEN)
    approval = make_yes(session, get_quote(session, quote.id), quote.groups[0].id)
    assert approval.amount_minor == part.gross_minor < whole.gross_minor
    (row,) = agreed_quotes_of(session, [quote.job_id])[quote.job_id]
    assert row.sum.taken == part
    assert agreed_sum(session, quote.job_id).gross_minor == part.gross_minor


def test_what_waits_without_an_answer_says_the_sum_as_given(session: Session) -> None:
    gross = bill_of_quote(session, make_given_quote(session)).gross_minor
    change_everything(session, GIVEN)
    (waiting,) = quotes_without_answer(session, (GIVEN + timedelta(days=5)).date())
    assert waiting.gross_minor == gross


def test_a_paper_made_from_something_else_is_not_handed_over(session: Session) -> None:
    quote = make_quote(session)
    paper = NewPaper(HASH, 10, "quote-1-1.pdf", '{"form": 1}')
    with pytest.raises(Conflict, match="changed this quote meanwhile"):
        give_quote(Act(session, THE_PROGRAM, GIVEN), quote.id, revision=quote.revision, paper=paper)


def test_the_row_has_the_hash_of_the_paper_and_no_one_changes_it(session: Session) -> None:
    quote = make_quote(session)
    paper = NewPaper(HASH, 10, "quote-1-1.pdf")
    give_quote(Act(session, THE_PROGRAM, GIVEN), quote.id, revision=quote.revision, paper=paper)
    (row,) = rows(session)
    assert row.sha256 == HASH
    with pytest.raises(DBAPIError, match="append-only"), session.begin_nested():
        session.execute(text("UPDATE given_quote SET content = ''"))


def test_given_rows_of_many_quotes_are_read_in_as_many_statements_as_of_one(session: Session) -> None:
    engine = session.get_bind()
    assert isinstance(engine, Engine)
    jobs = []
    for _ in range(4):
        quote = make_given_quote(session)
        make_yes(session, quote)
        jobs.append(quote.job_id)
    counts = []
    for wanted in (jobs[:1], jobs):
        with watching(engine) as watch:
            agreed_quotes_of(session, wanted)
        counts.append(watch.statements)
    assert counts[0] == counts[1]


def test_an_extra_says_its_own_days_and_none_of_the_jobs(session: Session) -> None:
    quote = make_given_quote(session)
    make_yes(session, quote)
    days = ExtraDays(15, date(2026, 1, 20))
    extra = draft_extra(Act(session, THE_PROGRAM, GIVEN), quote.job_id, title="Rust", price_minor=9750, days=days)
    give_quote(Act(session, THE_PROGRAM, GIVEN), extra.id, revision=extra.revision)
    main, of_extra = (given_from_json(row.content).words for row in rows(session))
    assert main is not None
    assert of_extra is not None
    assert of_extra.days == "It adds about 1.5 working days. New day for collection: Tuesday, January 20, 2026."
    assert "1.5" not in main.days


def test_the_new_day_becomes_the_promise_once_the_extra_is_approved(session: Session) -> None:
    quote = make_given_quote(session)
    make_yes(session, quote)
    days = ExtraDays(None, date(2026, 1, 20))
    extra = draft_extra(Act(session, THE_PROGRAM, GIVEN), quote.job_id, title="Rust", price_minor=9750, days=days)
    given = give_quote(Act(session, THE_PROGRAM, GIVEN), extra.id, revision=extra.revision)
    job = given.job_id
    assert get_job_by_id(session, job).promise_on is None
    make_yes(session, get_quote(session, extra.id))
    assert get_job_by_id(session, job).promise_on == date(2026, 1, 20)


def test_a_day_that_has_passed_is_no_day_for_collection(session: Session) -> None:
    quote = make_given_quote(session)
    make_yes(session, quote)
    days = ExtraDays(None, date(2025, 12, 1))
    with pytest.raises(RuleBroken, match="has not passed"):
        draft_extra(Act(session, THE_PROGRAM, GIVEN), quote.job_id, title="Rust", price_minor=9750, days=days)
