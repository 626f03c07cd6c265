"""When an approval counts from, and what is kept of one by phone."""

from datetime import timedelta

import pytest
from sqlalchemy.orm import Session

from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.jobs.plans import list_stages
from shopbook.services.act import Act
from shopbook.services.money.approvals import agree_quote
from shopbook.services.money.close import close_month
from shopbook.trade.errors import NotFound, RuleBroken
from shopbook.trade.permissions import Actor, Role
from tests.makers import make_person
from tests.makers.quotes import GIVEN, make_given_quote, make_yes

BY_PHONE = {"means": "phone", "number_called": "555-0188"}


def test_an_approval_given_earlier_counts_from_then_and_says_when_it_was_saved(session: Session) -> None:
    quote = make_given_quote(session)
    friday, monday = GIVEN + timedelta(hours=2), GIVEN + timedelta(days=3)
    row = make_yes(session, quote, at=monday, said_at=friday, **BY_PHONE)
    assert (row.said_at, row.on, row.at) == (friday, friday.date(), monday)
    assert (row.number_called, row.person_id) == ("555-0188", None)
    job = get_job_by_id(session, quote.job_id)
    assert job.agreed_at == friday
    assert all(stage.agreed_at == friday for stage in list_stages(session, quote.job_id))


def test_what_was_given_before_the_price_expired_holds_though_it_is_saved_later(session: Session) -> None:
    quote = make_given_quote(session)
    late = GIVEN + timedelta(days=60)
    with pytest.raises(RuleBroken, match="has expired"):
        make_yes(session, quote, at=late)
    assert make_yes(session, quote, at=late, said_at=GIVEN + timedelta(days=1)).on < late.date()


@pytest.mark.parametrize(
    ("said", "counts"),
    [
        (None, timedelta(minutes=5, seconds=20)),
        (timedelta(minutes=5), timedelta(minutes=5, seconds=20)),
        (timedelta(seconds=-40), timedelta(0)),
        (timedelta(minutes=3), timedelta(minutes=3)),
    ],
)
def test_a_clock_is_typed_to_the_minute(session: Session, said: timedelta | None, counts: timedelta) -> None:
    quote = make_given_quote(session)
    typed = None if said is None else GIVEN + said
    row = make_yes(session, quote, at=GIVEN + timedelta(minutes=5, seconds=20), said_at=typed)
    assert row.said_at == GIVEN + counts


@pytest.mark.parametrize(
    ("said", "sentence"),
    [(timedelta(days=3, minutes=1), "not in the future"), (timedelta(minutes=-1), "was issued")],
)
def test_no_approval_is_of_the_future_nor_before_its_estimate(session: Session, said: timedelta, sentence: str) -> None:
    quote = make_given_quote(session)
    with pytest.raises(RuleBroken, match=sentence) as refused:
        make_yes(session, quote, at=GIVEN + timedelta(days=3), said_at=GIVEN + said)
    assert refused.value.field == "clock"


def test_no_approval_is_dated_into_a_closed_month(session: Session, owner: Actor) -> None:
    quote = make_given_quote(session)
    later = GIVEN + timedelta(days=40)
    close_month(Act(session, owner, later), f"{GIVEN:%Y-%m}", {})
    with pytest.raises(RuleBroken, match="books are closed") as refused:
        make_yes(session, quote, at=later, said_at=GIVEN + timedelta(hours=1), still_holds=True)
    assert refused.value.field == "day"
    assert make_yes(session, quote, at=later, still_holds=True).on == later.date()


def test_an_approval_by_phone_names_its_number_and_who_took_the_call(session: Session, owner: Actor) -> None:
    quote = make_given_quote(session)
    with pytest.raises(RuleBroken, match="phone number") as refused:
        make_yes(session, quote, means="phone", number_called=" ")
    assert refused.value.field == "number_called"
    with pytest.raises(NotFound):
        make_yes(session, quote, **BY_PHONE, taken_by_id=99)
    dana = make_person(session, "Dana", Role.TECHNICIAN)
    assert make_yes(session, quote, **BY_PHONE, taken_by_id=dana.person_id).taken_by_id == dana.person_id
    given = {"party": "customer", "said_by": "Ines", "taken_group_ids": [quote.groups[0].id]}
    mine = agree_quote(Act(session, owner, GIVEN), quote.id, **BY_PHONE, **given)  # type: ignore[arg-type]
    assert mine.taken_by_id == owner.person_id
    assert make_yes(session, quote, number_called="555-0188").number_called == "", "not by phone"
