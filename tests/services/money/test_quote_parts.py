"""A draft quote is worked over before it is given: terms, groups, two ways, lines, stale pages."""

from datetime import datetime

import pytest
from sqlalchemy.orm import Session

from shopbook.models.money import Quote, QuoteGroup
from shopbook.queries.money.quotes import bill_of_quote, get_quote, sum_of_quote
from shopbook.services.act import Act
from shopbook.services.money.quote_parts import (
    GroupEdit,
    LineEdit,
    Terms,
    add_group,
    change_quote,
)
from shopbook.services.money.quotes import give_quote
from shopbook.trade.errors import Conflict, NotFound, RuleBroken
from shopbook.trade.permissions import Actor
from tests.makers import FIRST_DAY
from tests.makers.quotes import make_quote


def change_part(
    session: Session,
    owner: Actor,
    now: datetime,
    quote_id: int,
    part: QuoteGroup,
    *lines: LineEdit,
    is_out: bool = False,
) -> Quote:
    """One part of a draft as its page sends it: its own words, these lines changed, or taken off."""
    edit = GroupEdit(part.id, part.title, part.below, part.price_minor, lines, is_out)
    revision = get_quote(session, quote_id).revision
    return change_quote(Act(session, owner, now), quote_id, revision=revision, terms=Terms(), groups=[edit])


def test_terms_and_lines_are_changed_in_one_press(session: Session, act: Act) -> None:
    quote = make_quote(session)
    first, second = quote.groups
    part = LineEdit(None, "part", "Lamp", 12000)
    edits = [
        GroupEdit(first.id, "Right rear", first.below, None, (part,)),
        GroupEdit(second.id, second.title, second.below, 31000),
    ]
    terms = Terms(discount_minor=1000, discount_why="first visit", deposit_minor=5000, not_included="Wheel")
    changed = change_quote(act, quote.id, revision=quote.revision, terms=terms, groups=edits)
    assert changed.groups[0].title == "Right rear"
    assert sum_of_quote(session, changed, [second.id]).taken.lines_minor == 31000
    assert "Lamp" in [line.words for line in changed.groups[0].lines]
    assert sum_of_quote(session, changed).taken.allowances_minor == 1000


@pytest.mark.parametrize(
    ("terms", "says"),
    [
        (Terms(discount_minor=10**9), "discount is more"),
        (Terms(is_estimate=True, up_to_minor=1), "not be below the price"),
        (Terms(is_estimate=True), "Enter the limit"),
        (Terms(deposit_minor=10**9), "deposit is more"),
        (Terms(discount_minor=-5), "below zero or too large"),
        (Terms(valid_until_on=FIRST_DAY), "today or a later day"),
    ],
)
def test_terms_that_cannot_hold_are_refused_in_a_sentence(session: Session, act: Act, terms: Terms, says: str) -> None:
    quote = make_quote(session)
    with pytest.raises(RuleBroken, match=says):
        change_quote(act, quote.id, revision=quote.revision, terms=terms)


def test_of_two_ways_the_quote_counts_the_first_and_taking_both_is_refused(session: Session, act: Act) -> None:
    quote = make_quote(session, None, "right_front_door")
    whole = bill_of_quote(session, quote).gross_minor
    other = add_group(act, quote.id, revision=quote.revision, beside_id=quote.groups[0].id, title="New door skin")
    quote = get_quote(session, quote.id)
    edit = GroupEdit(other.id, "New door skin", "", 90000)
    quote = change_quote(act, quote.id, revision=quote.revision, terms=Terms(), groups=[edit])
    assert {group.key for group in quote.groups} == {"right_front_door"}
    assert bill_of_quote(session, quote).gross_minor == whole
    assert bill_of_quote(session, quote, [other.id]).net_minor == 90000
    with pytest.raises(RuleBroken, match="two ways"):
        sum_of_quote(session, quote, [group.id for group in quote.groups])


def test_a_way_that_lost_its_other_way_stands_alone_and_the_last_group_stays(
    session: Session, owner: Actor, now: datetime, act: Act
) -> None:
    quote = make_quote(session, None, "right_front_door")
    first = quote.groups[0].id
    other = add_group(act, quote.id, revision=quote.revision, beside_id=first)
    quote = change_part(session, owner, now, quote.id, other, is_out=True)
    assert [(group.id, group.choice) for group in quote.groups] == [(first, "")]
    with pytest.raises(RuleBroken, match="Keep at least one item"):
        change_part(session, owner, now, quote.id, quote.groups[0], is_out=True)


def test_lines_come_change_and_go_until_the_quote_is_given(
    session: Session, owner: Actor, now: datetime, act: Act
) -> None:
    quote = make_quote(session, None, "right_front_door")
    fee = LineEdit(None, "fee", "Disposal", 500)
    quote = change_part(session, owner, now, quote.id, quote.groups[0], fee)
    line = quote.groups[0].lines[-1]
    edit = LineEdit(line.id, "sublet", "Wheel refurbished", 9000)
    quote = change_part(session, owner, now, quote.id, quote.groups[0], edit)
    assert (line.kind, line.amount_minor, line.is_touched) == ("sublet", 9000, True)
    out = LineEdit(line.id, "labour", "", 0, is_out=True)
    quote = change_part(session, owner, now, quote.id, quote.groups[0], out)
    assert [each.words for each in quote.groups[0].lines if each.kind in {"fee", "sublet"}] == []
    give_quote(act, quote.id, revision=quote.revision)
    with pytest.raises(RuleBroken, match="has been issued"):
        change_part(session, owner, now, quote.id, quote.groups[0], fee)


@pytest.mark.parametrize(
    ("edit", "says"),
    [
        (LineEdit(None, "gift", "X", 1), "what the line is for"),
        (LineEdit(None, "fee", "  ", 1), "Enter a description"),
        (LineEdit(None, "fee", "X", -1), "below zero or too large"),
        (LineEdit(None, "fee", "X", 10**15), "below zero or too large"),
    ],
)
def test_a_bad_line_is_refused(session: Session, owner: Actor, now: datetime, edit: LineEdit, says: str) -> None:
    quote = make_quote(session)
    with pytest.raises(RuleBroken, match=says):
        change_part(session, owner, now, quote.id, quote.groups[0], edit)


def test_a_stale_page_and_a_foreign_group_are_refused(session: Session, owner: Actor, now: datetime, act: Act) -> None:
    quote, other = make_quote(session), make_quote(session)
    change_quote(act, quote.id, revision=1, terms=Terms(words="Thank you"))
    with pytest.raises(Conflict):
        change_quote(act, quote.id, revision=1, terms=Terms(words="Thanks"))
    with pytest.raises(Conflict):
        give_quote(act, quote.id, revision=1)
    with pytest.raises(NotFound):
        change_part(session, owner, now, quote.id, other.groups[0])
