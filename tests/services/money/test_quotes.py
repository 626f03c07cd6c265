"""Quotes from the kerb and from the plan: drafted, priced, given, withdrawn, lost; extras."""

from datetime import datetime, timedelta

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.money import QuoteGroup
from shopbook.models.shop import LogLine
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.jobs.plans import list_stages
from shopbook.queries.money.quotes import bill_of_quote, get_quote
from shopbook.services.act import Act
from shopbook.services.jobs.drafting import draft_plan
from shopbook.services.jobs.parts import add_part
from shopbook.services.money.extras import draft_extra
from shopbook.services.money.quote_groups import SaidPrice
from shopbook.services.money.quote_parts import (
    GroupEdit,
    LineEdit,
    Terms,
    change_quote,
)
from shopbook.services.money.quotes import (
    NewPaper,
    draft_quote,
    give_quote,
    keep_kerb_price,
    lose_quote,
    withdraw_quote,
)
from shopbook.services.shop.rates import set_labour_rates, set_settings, set_tax_rate
from shopbook.trade.errors import RuleBroken
from shopbook.trade.permissions import Actor
from shopbook.trade.settings import SettingName
from tests.makers import FIRST_DAY, STARTED
from tests.makers.jobs import make_damage, make_job, make_planned_job, make_stage
from tests.makers.quotes import make_given_quote, make_kerb, make_quote, make_yes


def group_of(session: Session, quote_id: int, key: str) -> QuoteGroup:
    return next(group for group in get_quote(session, quote_id).groups if group.key == key)


def test_each_hurt_panel_is_a_group_and_every_planned_minute_is_quoted_once(session: Session) -> None:
    job = make_planned_job(session, "right_quarter", "rear_bumper")
    quote = make_quote(session, job)
    assert [group.key for group in quote.groups] == ["right_quarter", "rear_bumper"]
    quoted = sum(line.minutes for group in quote.groups for line in group.lines)
    assert quoted == sum(stage.planned_minutes for stage in list_stages(session, job.id))


def test_a_panel_that_is_only_blended_into_goes_with_its_hurt_neighbour(session: Session, owner: Actor) -> None:
    job = make_job(session)
    make_damage(session, job, "right_quarter", paint="blend")
    draft_plan(Act(session, owner, STARTED), job.id)
    assert [group.key for group in make_quote(session, job).groups] == ["right_quarter"]


def test_labour_goes_by_the_rate_of_the_skill_and_the_kind_of_payer(session: Session, act: Act) -> None:
    set_labour_rates(act, {("paint", "insurer"): 7200}, FIRST_DAY)
    quote = make_quote(session, make_planned_job(session, payer_kind="insurer"))
    rates = {line.skill: line.rate_minor for group in quote.groups for line in group.lines if line.skill}
    assert rates["paint"] == 7200
    assert rates["body"] == 6500


def test_a_part_stands_at_cost_and_markup_and_a_fee_for_the_whole_car_in_its_own_group(
    session: Session, act: Act
) -> None:
    job = make_planned_job(session, "right_quarter")
    add_part(act, job.id, name="Clip set", cost_minor=1480, group_key="right_quarter")
    add_part(act, job.id, name="Disposal", kind="fee", price_minor=500)
    quote = make_quote(session, job)
    part = next(line for line in quote.groups[0].lines if line.kind == "part")
    assert (part.words, part.amount_minor, part.tax_code) == ("Clip set", 1850, "sales")
    assert [(group.key, group.title) for group in quote.groups][-1] == ("car", "For the whole car")


def test_a_job_without_a_plan_is_not_quoted(session: Session, act: Act) -> None:
    with pytest.raises(RuleBroken, match="no plan yet"):
        draft_quote(act, make_job(session).id)


def test_a_kerb_price_is_the_price_said_whatever_the_plan_came_to(session: Session) -> None:
    quote = make_kerb(session, make_planned_job(session, "right_front_door"), right_front_door=52000)
    assert quote.given_at is not None
    assert sum(line.amount_minor for line in quote.groups[0].lines) == 52000
    assert quote.groups[0].below.startswith("Palm-sized dent, finger-deep. Pull, fill and shape, prime, block, ")
    bill = bill_of_quote(session, quote)
    assert bill.net_minor == 52000
    assert "sales" in {row.rate.code for row in bill.taxes}


def test_a_kerb_price_without_a_plan_behind_it_still_knows_its_tax(session: Session, act: Act) -> None:
    job = make_job(session)
    row = SaidPrice("roof", "Roof", "12 small dents", 18000, is_painted=False)
    terms = {"has_tax_inside": False, "is_said": False}
    quote = keep_kerb_price(act, job, [row], working_days_tenths=10, **terms)
    assert bill_of_quote(session, quote).tax_minor == 0
    assert get_job_by_id(session, job.id).working_days == 10


@pytest.mark.parametrize("price", [-1, 10**12])
def test_a_kerb_price_below_zero_or_beyond_all_sense_is_refused(session: Session, price: int) -> None:
    with pytest.raises(RuleBroken, match="below zero or too large"):
        make_kerb(session, make_job(session), roof=price)


@pytest.mark.parametrize(("price", "tax"), [(10, 1), (30, 2), (50, 3), (110, 6), (109, 5)])
def test_half_a_cent_of_tax_goes_away_from_zero(session: Session, act: Act, price: int, tax: int) -> None:
    """5 % of 0.50 is 0.025: the printed examples of EN 16931 round such halves up, not to the even cent."""
    set_tax_rate(act, code="none", name="Work", rate_thousandths=5000, from_on=FIRST_DAY)
    row = SaidPrice("roof", "Roof", "", price, is_painted=False)
    terms = {"has_tax_inside": False, "is_said": False}
    quote = keep_kerb_price(act, make_job(session), [row], working_days_tenths=None, **terms)
    assert bill_of_quote(session, quote).tax_minor == tax


def test_giving_freezes_dates_and_keeps_the_paper(session: Session, now: datetime, act: Act) -> None:
    quote = make_quote(session)
    paper = NewPaper("ab" * 32, 1234, "quote-1-1.pdf")
    given = give_quote(act, quote.id, revision=quote.revision, paper=paper)
    assert given.valid_until_on == now.date() + timedelta(days=30)
    assert given.paper_id is not None
    assert given.asked_customer_at is None


def test_a_group_that_nobody_priced_cannot_be_given_but_a_typed_zero_can(
    session: Session, now: datetime, act: Act
) -> None:
    quote = make_quote(session, None, "right_front_door")
    for line in quote.groups[0].lines:
        session.delete(line)
    session.flush()
    with pytest.raises(RuleBroken, match="has no price yet"):
        give_quote(act, quote.id, revision=quote.revision)
    free = [GroupEdit(quote.groups[0].id, "Goodwill", "", 0, (LineEdit(None, "labour", "Work", 0),))]
    quote = change_quote(act, quote.id, revision=quote.revision, terms=Terms(), groups=free)
    assert give_quote(act, quote.id, revision=quote.revision).given_at == now


def test_a_new_version_keeps_words_and_takes_the_old_one_off_the_table_when_given(
    session: Session, now: datetime, act: Act
) -> None:
    job = make_planned_job(session)
    first = make_quote(session, job)
    terms = Terms(words="Old parts are kept")
    first = change_quote(act, first.id, revision=first.revision, terms=terms)
    give_quote(act, first.id, revision=first.revision)
    second = draft_quote(act, job.id)
    assert (second.version, second.words) == (2, "Old parts are kept")
    assert get_quote(session, first.id).replaced_at is None
    give_quote(act, second.id, revision=second.revision)
    assert get_quote(session, first.id).replaced_at == now


def test_a_draft_that_was_never_given_is_replaced_at_once(session: Session, now: datetime, act: Act) -> None:
    job = make_planned_job(session)
    first = make_quote(session, job)
    draft_quote(act, job.id)
    assert get_quote(session, first.id).replaced_at == now


def test_a_quote_with_a_yes_is_not_withdrawn_or_lost(session: Session, act: Act) -> None:
    quote = make_given_quote(session)
    make_yes(session, quote)
    with pytest.raises(RuleBroken, match="is approved and cannot be withdrawn"):
        withdraw_quote(act, quote.id)
    with pytest.raises(RuleBroken, match="has approved this job"):
        lose_quote(act, quote.id, "price")


def test_a_lost_quote_calls_the_job_off_with_its_reason(session: Session, now: datetime, act: Act) -> None:
    quote = make_given_quote(session)
    with pytest.raises(RuleBroken, match="Choose why"):
        lose_quote(act, quote.id, "the weather")
    job = lose_quote(act, quote.id, "price")
    assert (job.called_off_why, job.called_off_at) == ("price", now)


def test_an_extra_by_hours_has_its_own_group_and_wants_its_own_yes(session: Session, now: datetime, act: Act) -> None:
    quote = make_given_quote(session)
    make_yes(session, quote)
    stage = make_stage(session, get_job_by_id(session, quote.job_id), "Seal behind the arch", minutes=24)
    extra = draft_extra(act, quote.job_id, title="Rust behind the arch", stage_ids=[stage.id])
    assert [(group.key, group.price_minor) for group in extra.groups] == [("extra-2", None)]
    assert sum(line.amount_minor for line in extra.groups[0].lines) == 2600
    assert (stage.purpose, stage.quote_group_key, stage.agreed_at) == ("extra", "extra-2", None)
    extra = give_quote(act, extra.id, revision=extra.revision)
    assert get_quote(session, quote.id).replaced_at is None
    make_yes(session, extra, at=now)
    assert next(each for each in list_stages(session, quote.job_id) if each.id == stage.id).agreed_at == now


def test_an_extra_needs_a_title_something_to_price_and_a_yes_before_it(session: Session, act: Act) -> None:
    quote = make_given_quote(session)
    with pytest.raises(RuleBroken, match="not approved yet"):
        draft_extra(act, quote.job_id, title="Rust", price_minor=100)
    make_yes(session, quote)
    with pytest.raises(RuleBroken, match="what was found"):
        draft_extra(act, quote.job_id, title=" ", price_minor=100)
    with pytest.raises(RuleBroken, match="Enter a price"):
        draft_extra(act, quote.job_id, title="Rust")
    agreed = list_stages(session, quote.job_id)[0]
    with pytest.raises(RuleBroken, match="not approved yet"):
        draft_extra(act, quote.job_id, title="Rust", stage_ids=[agreed.id])


def test_prices_that_hold_the_tax_make_up_the_printed_sum(session: Session, act: Act) -> None:
    set_settings(act, {SettingName.PRICES_HOLD_TAX: True}, FIRST_DAY)
    quote = make_quote(session)
    printed = sum(line.amount_minor for group in quote.groups for line in group.lines)
    assert quote.has_tax_inside
    assert bill_of_quote(session, quote).gross_minor == printed


def test_the_log_names_no_customer(session: Session, owner: Actor, now: datetime) -> None:
    quote = make_given_quote(session)
    make_yes(session, quote)
    said = session.scalars(select(LogLine.words).where(LogLine.subject == "quote")).all()
    assert said
    assert not any("Okafor" in words for words in said)
