"""What was found on the floor and told to the desk: on Today at once, and off it once it is priced and asked for."""

import pytest
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Quote
from shopbook.queries.money.approvals import agreed_quotes, waits_for_approval
from shopbook.queries.money.extras import ToldExtra, list_told_extras
from shopbook.queries.money.quotes import get_quote
from shopbook.queries.reports.today import get_today
from shopbook.services.act import Act
from shopbook.services.jobs.leaving import mark_handed_over
from shopbook.services.money.approvals import ask_again
from shopbook.services.money.extras import decline_by_payer, draft_extra
from shopbook.services.money.quote_parts import GroupEdit, Terms, change_quote
from shopbook.services.money.quotes import give_quote, withdraw_quote
from shopbook.trade.errors import Conflict, RuleBroken
from shopbook.trade.permissions import Actor
from tests.house.test_query_plans import watching
from tests.makers.floor import at, make_painter
from tests.makers.jobs import make_planned_job
from tests.makers.quotes import make_given_quote, make_yes

SEEN = at("10:12")


def told(session: Session) -> list[ToldExtra]:
    return list_told_extras(session)


def tell(session: Session, who: Actor, title: str = "Rust behind the arch", **given: int) -> Quote:
    quote = make_given_quote(session)
    make_yes(session, quote)
    return draft_extra(Act(session, who, SEEN), quote.job_id, title=title, minutes=given, is_only_told=True)


def test_what_is_told_stands_on_today_with_its_car_words_teller_and_moment(session: Session) -> None:
    dana = make_painter(session)
    extra = tell(session, dana, body=24)
    (row,) = told(session)
    assert (row.quote.id, row.title, row.told_by, row.at) == (extra.id, "Rust behind the arch", "Dana", SEEN)
    assert (row.job.id, row.minutes, row.is_before_the_approval) == (extra.job_id, 24, False)
    assert row.job.vehicle
    today = get_today(session, SEEN)
    assert [each.quote.id for each in today.told] == [extra.id]
    assert [kind for kind, _ in today.found] == ["told"]


def test_hours_that_were_said_price_it_and_without_any_it_waits_for_the_desk(session: Session) -> None:
    dana = make_painter(session)
    tell(session, dana, body=24)
    bare = tell(session, dana, "Clip broken")
    assert [row.gross_minor is None for row in told(session)] == [False, True]
    with pytest.raises(RuleBroken, match="no price yet"):
        give_quote(Act(session, dana, SEEN), bare.id, revision=bare.revision)


def test_a_price_typed_for_what_was_told_without_hours_is_what_it_comes_to(session: Session, owner: Actor) -> None:
    bare = tell(session, make_painter(session))
    (group,) = bare.groups
    edit = GroupEdit(group.id, group.title, group.below, 4500)
    bare = change_quote(Act(session, owner, SEEN), bare.id, revision=bare.revision, terms=Terms(), groups=[edit])
    (row,) = told(session)
    assert row.gross_minor is not None
    assert row.gross_minor >= 4500
    assert give_quote(Act(session, owner, SEEN), bare.id, revision=bare.revision).given_at == SEEN


def test_once_it_is_put_to_the_owner_it_waits_for_the_yes_instead(session: Session, owner: Actor) -> None:
    extra = tell(session, make_painter(session), body=24)
    give_quote(Act(session, owner, SEEN), extra.id, revision=extra.revision)
    assert [row.quote.id for row in told(session)] == [extra.id]
    ask_again(Act(session, owner, SEEN), extra.id, "customer", "said")
    today = get_today(session, SEEN)
    assert (today.told, [row.asked.quote.id for row in today.approvals]) == ((), [extra.id])
    make_yes(session, extra, at=SEEN)
    today = get_today(session, SEEN)
    assert (today.told, today.approvals) == ((), ())


def test_what_was_withdrawn_is_off_the_page(session: Session, owner: Actor) -> None:
    extra = tell(session, make_painter(session), body=24)
    withdraw_quote(Act(session, owner, SEEN), extra.id)
    assert told(session) == []


def test_a_car_that_has_left_asks_for_nothing_more(session: Session, owner: Actor) -> None:
    extra = tell(session, make_painter(session), body=24)
    mark_handed_over(Act(session, owner, SEEN), session.get_one(Job, extra.job_id))
    assert told(session) == []


def test_what_is_seen_while_stripping_is_told_before_the_quote_has_its_yes(session: Session) -> None:
    job = make_planned_job(session)
    seen = "Old filler under the paint"
    extra = draft_extra(Act(session, make_painter(session), SEEN), job.id, title=seen, is_only_told=True)
    (row,) = told(session)
    assert (row.quote.id, row.is_before_the_approval) == (extra.id, True)


def test_however_much_was_told_the_questions_asked_are_as_many(session: Session) -> None:
    dana, counts = make_painter(session), []
    for rounds in (1, 3):
        for _ in range(rounds):
            tell(session, dana, body=24)
        session.expire_all()
        with watching(session.get_bind()) as watch:  # type: ignore[arg-type]
            told(session)
        counts.append(watch.statements)
    assert counts[0] == counts[1]


def insured_extra(session: Session, act: Act) -> Quote:
    """An extra of an insurer's job, given and its payer asked; the customer has not said anything to it."""
    job = make_planned_job(session, payer_kind="insurer")
    make_yes(session, make_given_quote(session, job))
    extra = draft_extra(act, job.id, title="Inner brace bent", price_minor=9750)
    give_quote(act, extra.id, revision=extra.revision)
    return ask_again(act, extra.id, "payer")


def waiting(session: Session) -> list[int]:
    return [row.quote.id for row in waits_for_approval(session) if row.party == "payer"]


def test_an_extra_that_its_payer_declines_waits_for_no_payer_and_may_be_dropped(session: Session, act: Act) -> None:
    extra = insured_extra(session, act)
    assert extra.id in waiting(session)
    declined = decline_by_payer(act, extra.id, "claims desk: not from this accident")
    assert (declined.payer_declined_at, declined.payer_declined_why) == (
        act.moment,
        "claims desk: not from this accident",
    )
    assert extra.id not in waiting(session)
    assert withdraw_quote(act, extra.id).replaced_at == act.moment
    with pytest.raises(Conflict):
        decline_by_payer(act, extra.id, "again")


def test_the_customer_may_pay_for_what_the_payer_declined(session: Session, act: Act) -> None:
    extra = insured_extra(session, act)
    decline_by_payer(act, extra.id, "not covered")
    approval = make_yes(session, extra, at=act.moment, customer_pays=True)
    assert approval.pays_minor == approval.amount_minor
    assert agreed_quotes(session, extra.job_id)[-1].is_paid_by_customer


def test_a_payer_who_is_asked_again_or_approves_after_all_has_not_declined(session: Session, act: Act) -> None:
    extra = insured_extra(session, act)
    decline_by_payer(act, extra.id, "not covered")
    assert ask_again(act, extra.id, "payer").payer_declined_at is None
    decline_by_payer(act, extra.id, "not covered")
    make_yes(session, extra, at=act.moment, party="payer", means="mail", amount_minor=9750)
    assert get_quote(session, extra.id).payer_declined_at is None
    with pytest.raises(RuleBroken, match="approved this extra work already"):
        decline_by_payer(act, extra.id, "no")


def test_only_an_issued_extra_is_declined_and_with_a_reason(session: Session, act: Act) -> None:
    extra = insured_extra(session, act)
    with pytest.raises(RuleBroken, match="who declined it") as refused:
        decline_by_payer(act, extra.id, "  ")
    assert refused.value.field == "why"
    main = agreed_quotes(session, extra.job_id)[0].quote
    with pytest.raises(RuleBroken, match="Only extra work"):
        decline_by_payer(act, main.id, "no")
