"""The two kinds of yes: who, to what, by what means; kept apart, and never taken for one another."""

from datetime import datetime, timedelta

import pytest
from sqlalchemy.orm import Session

from shopbook.models.jobs import Damage
from shopbook.queries.jobs.damage import list_damages
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.jobs.plans import list_stages
from shopbook.queries.money.approvals import agreed_quotes, waits_for_approval
from shopbook.queries.money.quotes import bill_of_quote, get_quote
from shopbook.services.act import Act
from shopbook.services.jobs.pictures import record_picture
from shopbook.services.money.approvals import agree_quote, ask_again
from shopbook.services.money.payers import PayerRule, set_payers
from shopbook.services.money.quote_parts import Terms, add_group, change_quote
from shopbook.services.money.quotes import draft_quote, give_quote
from shopbook.trade.car.pictures import KeptPicture
from shopbook.trade.errors import Conflict, NotFound, RuleBroken
from shopbook.trade.permissions import Actor
from tests.asking import agreed_sum
from tests.asking import risk_of_job as at_risk
from tests.makers import make_customer
from tests.makers.jobs import make_job, make_planned_job
from tests.makers.quotes import GIVEN, make_given_quote, make_kerb, make_quote, make_yes

SIGNATURE = "M60 72L68 38L86 32M90 40L120 60"


def left_panels(session: Session, job_id: int) -> set[str]:
    found: list[Damage] = list_damages(session, job_id)
    return {damage.panel for damage in found if damage.left_at is not None}


def test_the_owners_yes_to_one_panel_agrees_its_stages_and_leaves_the_other_panel(session: Session) -> None:
    quote = make_given_quote(session)
    make_yes(session, quote, quote.groups[0].id)
    assert left_panels(session, quote.job_id) == {"rear_bumper"}
    assert all(stage.agreed_at == GIVEN for stage in list_stages(session, quote.job_id))
    (row,) = agreed_quotes(session, quote.job_id)
    assert [group.key for group in row.taken] == ["right_quarter"]
    assert [group.key for group in row.left] == ["rear_bumper"]
    assert (
        agreed_sum(session, quote.job_id).gross_minor == bill_of_quote(session, quote, [quote.groups[0].id]).gross_minor
    )


def test_the_payers_yes_starts_no_work_and_counts_for_no_owner(session: Session) -> None:
    quote = make_given_quote(session)
    make_yes(session, quote, party="payer", amount_minor=90000, said_by="Claims desk, 77-20418", means="mail")
    assert get_job_by_id(session, quote.job_id).agreed_at is None
    assert not any(stage.agreed_at for stage in list_stages(session, quote.job_id))
    assert agreed_quotes(session, quote.job_id) == []
    assert agreed_sum(session, quote.job_id).gross_minor == 0


def test_what_the_owner_agreed_and_the_payer_did_not_is_at_the_shops_risk(
    session: Session, owner: Actor, now: datetime
) -> None:
    job = make_planned_job(session, payer_kind="insurer")
    quote = make_given_quote(session, job)
    make_yes(session, quote)
    gross = bill_of_quote(session, quote).gross_minor
    assert at_risk(session, job.id) == gross
    insurer = make_customer(session, "Millbrook Mutual", kind="insurer")
    make_yes(session, quote, party="payer", amount_minor=gross - 4112, customer_id=insurer.id, means="mail")
    assert at_risk(session, job.id) == 4112
    make_yes(session, quote, party="payer", amount_minor=gross, customer_id=insurer.id, means="mail")
    assert at_risk(session, job.id) == 0


def test_an_owner_who_pays_alone_is_no_risk(session: Session) -> None:
    quote = make_given_quote(session)
    make_yes(session, quote)
    assert at_risk(session, quote.job_id) == 0


def test_a_payer_who_names_no_sum_accepts_what_the_owner_took(session: Session) -> None:
    quote = make_given_quote(session)
    taken = quote.groups[0].id
    make_yes(session, quote, taken)
    approval = make_yes(session, quote, party="payer", said_by="Claims desk", means="phone")
    assert approval.amount_minor == bill_of_quote(session, quote, [taken]).gross_minor


def test_two_ways_of_one_thing_are_not_both_said_yes_to(session: Session, now: datetime, act: Act) -> None:
    quote = make_quote(session, None, "right_front_door")
    add_group(act, quote.id, revision=quote.revision, beside_id=quote.groups[0].id)
    quote = get_quote(session, quote.id)
    quote = give_quote(act, quote.id, revision=quote.revision)
    with pytest.raises(RuleBroken, match="two ways"):
        make_yes(session, quote, at=now)
    make_yes(session, quote, quote.groups[1].id, at=now)
    assert left_panels(session, quote.job_id) == set()


def test_a_later_yes_brings_a_left_panel_back_and_takes_the_place_of_the_first(session: Session) -> None:
    quote = make_given_quote(session)
    make_yes(session, quote, quote.groups[0].id)
    make_yes(session, quote)
    assert left_panels(session, quote.job_id) == set()
    assert agreed_sum(session, quote.job_id).gross_minor == bill_of_quote(session, quote).gross_minor


def test_a_yes_to_a_new_version_takes_the_place_of_the_yes_before(session: Session, now: datetime, act: Act) -> None:
    job = make_planned_job(session, "right_quarter", "rear_bumper")
    first = make_given_quote(session, job)
    make_yes(session, first)
    second = draft_quote(act, job.id)
    second = change_quote(act, second.id, revision=second.revision, terms=Terms(discount_minor=5000))
    second = give_quote(act, second.id, revision=second.revision)
    with pytest.raises(Conflict, match="replaced or withdrawn"):
        make_yes(session, get_quote(session, first.id), at=now)
    make_yes(session, second, at=now)
    assert [row.quote.version for row in agreed_quotes(session, job.id)] == [2]


def test_a_discount_and_an_upper_sum_hold_in_proportion_to_what_is_taken(
    session: Session, now: datetime, act: Act
) -> None:
    quote = make_quote(session, make_planned_job(session, "right_quarter", "rear_bumper"))
    gross = bill_of_quote(session, quote).gross_minor
    terms = Terms(is_estimate=True, up_to_minor=gross * 2, discount_minor=10000)
    quote = change_quote(act, quote.id, revision=quote.revision, terms=terms)
    quote = give_quote(act, quote.id, revision=quote.revision)
    whole, part = bill_of_quote(session, quote), bill_of_quote(session, quote, [quote.groups[0].id])
    assert part.allowances_minor * whole.lines_minor == pytest.approx(10000 * part.lines_minor, rel=0.001)
    approval = make_yes(session, quote, quote.groups[0].id, at=now)
    assert approval.amount_minor == pytest.approx(gross * 2 * part.gross_minor / whole.gross_minor, rel=0.001)


def test_a_quote_past_its_day_wants_to_be_looked_at_before_a_yes(session: Session, owner: Actor) -> None:
    quote = make_given_quote(session)
    late = GIVEN + timedelta(days=40)
    with pytest.raises(RuleBroken, match="has expired") as refused:
        make_yes(session, quote, at=late)
    assert refused.value.field == "still_holds"
    make_yes(session, quote, at=late, still_holds=True)
    assert get_job_by_id(session, quote.job_id).agreed_at == late


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"said_by": "  "}, "said_by"),
        ({"means": "signed"}, "signature"),
        ({"means": "signed", "signature": "M1 1<script>"}, "signature"),
        ({"means": "signed", "signature": "M900 900L901 901"}, "signature"),
        ({"party": "payer", "amount_minor": -1}, "amount"),
        ({"party": "payer", "amount_minor": 10**15}, "amount"),
    ],
)
def test_a_yes_without_name_signature_or_sense_is_refused_beside_its_field(
    session: Session, given: dict[str, object], field: str
) -> None:
    quote = make_given_quote(session)
    with pytest.raises(RuleBroken) as refused:
        make_yes(session, quote, **given)
    assert refused.value.field == field


def test_a_yes_to_nothing_to_a_strange_group_or_to_a_draft_is_refused(
    session: Session, owner: Actor, now: datetime
) -> None:
    quote, other = make_given_quote(session), make_given_quote(session)
    plain = {"party": "customer", "means": "phone", "said_by": "Ines", "number_called": "555-0153"}
    with pytest.raises(RuleBroken, match="Tick at least"):
        agree_quote(Act(session, owner, GIVEN), quote.id, taken_group_ids=(), **plain)  # type: ignore[arg-type]
    with pytest.raises(Conflict, match="not on this version"):
        make_yes(session, quote, other.groups[0].id)
    draft = make_quote(session)
    with pytest.raises(RuleBroken, match=r"Issue the \{estimate\} first"):
        make_yes(session, draft)
    with pytest.raises(Conflict):
        make_yes(session, quote, revision=99)
    with pytest.raises(NotFound):
        make_yes(session, quote, customer_id=999)


def test_a_picture_of_another_jobs_message_proves_nothing(session: Session, act: Act) -> None:
    quote = make_given_quote(session)
    elsewhere = make_job(session)
    kept = KeptPicture("a" * 64, "b" * 64, 10, 10, 100)
    picture = record_picture(act, elsewhere.id, kept, purpose="message")
    with pytest.raises(RuleBroken, match="another job"):
        make_yes(session, quote, means="text", picture_id=picture.id)
    own = record_picture(act, quote.job_id, kept, purpose="message")
    assert make_yes(session, quote, means="text", picture_id=own.id).picture_id == own.id


def test_a_signature_is_kept_as_drawn(session: Session) -> None:
    approval = make_yes(session, make_given_quote(session), means="signed", signature=SIGNATURE)
    assert approval.signature == SIGNATURE


def test_who_was_asked_and_has_not_answered_is_waited_for(session: Session, act: Act) -> None:
    quote = make_given_quote(session)
    ask_again(act, quote.id, "payer")
    waiting = waits_for_approval(session)
    assert [(row.quote.id, row.party) for row in waiting] == [(quote.id, "customer"), (quote.id, "payer")]
    make_yes(session, quote)
    assert [row.party for row in waits_for_approval(session)] == ["payer"]


def test_a_kerb_price_can_have_its_yes_at_once(session: Session) -> None:
    job = make_planned_job(session, "left_front_door")
    make_yes(session, make_kerb(session, job, left_front_door=52000))
    assert agreed_sum(session, job.id).net_minor == 52000


def test_an_approval_by_a_payer_nobody_named_is_the_one_other_payers(session: Session, act: Act) -> None:
    """Of two other payers neither can be meant: it is kept as nobody's."""
    quote = make_given_quote(session)
    owner_id = get_job_by_id(session, quote.job_id).customer_id
    assert owner_id is not None
    excess, fixed = PayerRule(owner_id, "excess", 25000), PayerRule(make_customer(session, "Fleet").id, "fixed", 5000)
    insurer = make_customer(session, "Millbrook Mutual", kind="insurer")
    rest = PayerRule(insurer.id, "rest")
    set_payers(act, quote.job_id, [excess, rest])
    assert make_yes(session, quote).customer_id == owner_id
    unnamed = {"party": "payer", "said_by": "Claims desk", "means": "phone"}
    assert make_yes(session, quote, **unnamed).customer_id == insurer.id
    set_payers(act, quote.job_id, [excess, fixed, rest])
    assert make_yes(session, quote, amount_minor=9000, **unnamed).customer_id is None


def test_payers_split_the_agreed_sum_and_one_pays_the_rest(session: Session, act: Act) -> None:
    quote = make_given_quote(session)
    job = get_job_by_id(session, quote.job_id)
    insurer = make_customer(session, "Millbrook Mutual", kind="insurer")
    assert job.customer_id is not None
    excess, rest = PayerRule(job.customer_id, "excess", 25000), PayerRule(insurer.id, "rest", reference="claim 77")
    assert len(set_payers(act, job.id, [excess, rest])) == 2
    with pytest.raises(RuleBroken, match="must pay the rest"):
        set_payers(act, job.id, [excess])
    with pytest.raises(RuleBroken, match="once"):
        set_payers(act, job.id, [rest, rest])
    set_payers(act, job.id, [PayerRule(job.customer_id, "excess", 10**8), rest])
    with pytest.raises(RuleBroken, match="more than the total"):
        set_payers(act, job.id, [PayerRule(job.customer_id, "fixed", 10**8), rest])
    with pytest.raises(RuleBroken, match="Choose the items"):
        set_payers(act, job.id, [PayerRule(job.customer_id, "lines"), rest])
    with pytest.raises(NotFound):
        set_payers(act, job.id, [PayerRule(999, "rest")])
