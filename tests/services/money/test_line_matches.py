"""An invoice from before keys: more is billed only after a person said which agreed lines its lines bill."""

import pytest
from sqlalchemy import select

from shopbook.models.jobs import Job
from shopbook.models.money import LineMatch
from shopbook.queries.money.billable import agreed_work, billing_day
from shopbook.queries.money.issued import issued_of
from shopbook.queries.money.line_matches import KeylessLine, list_agreed_lines, list_keyless_lines
from shopbook.queries.money.owed import job_stands
from shopbook.queries.reports.proofs import count_before_keys
from shopbook.services.act import Act
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.line_matches import match_lines
from shopbook.trade.billing import BillLine
from shopbook.trade.errors import RuleBroken
from tests.makers.billing import ARCH, QUARTER, add_quote, forget_keys, make_job, prove


@pytest.fixture
def job(act: Act) -> Job:
    """The quarter invoiced before keys, 623.00 before tax; the arch approved since, 40.00."""
    made = make_job(act.session, act.moment)
    add_quote(act.session, made, made.opened_at, [QUARTER])
    made.ready_at = act.moment
    forget_keys(act.session, issue_invoice(act, made.id))
    add_quote(act.session, made, act.moment.replace(hour=act.moment.hour + 1), [ARCH], kind="extra")
    return made


def both_sides(act: Act, job: Job) -> tuple[list[KeylessLine], list[BillLine]]:
    lines = list_keyless_lines(act.session, issued_of(act.session, [job.id])[job.id].papers)
    work = agreed_work(act.session, [job.id])[job.id]
    return lines, list_agreed_lines(work, billing_day(act.session, act.day))


def right_keys(act: Act, job: Job) -> dict[int, int]:
    lines, agreed = both_sides(act, job)
    return {line.line_id: next(row.key for row in agreed if row.titled == line.words) for line in lines}


def later(act: Act) -> Act:
    return Act(act.session, act.actor, act.moment.replace(hour=act.moment.hour + 2))


def test_nothing_more_is_billed_and_the_job_says_why(act: Act, job: Job) -> None:
    with pytest.raises(RuleBroken, match="Match the lines"):
        issue_invoice(later(act), job.id)
    assert job_stands(act.session, [job.id], act.day)[job.id].lacks_keys
    assert count_before_keys(act.session) == len(both_sides(act, job)[0]) == 2


def test_matched_lines_leave_only_the_arch_for_the_further_invoice(act: Act, job: Job) -> None:
    assert match_lines(act, job.id, right_keys(act, job)) == 2
    assert not job_stands(act.session, [job.id], act.day)[job.id].lacks_keys
    assert issue_invoice(later(act), job.id).net_minor == 4000
    assert count_before_keys(act.session) == 0
    prove(act.session)


def test_a_line_without_a_choice_is_named_and_nothing_is_kept(act: Act, job: Job) -> None:
    keys = right_keys(act, job)
    without = list(keys)[1]
    with pytest.raises(RuleBroken, match="Choose the approved line") as broken:
        match_lines(act, job.id, keys | {without: 0})
    assert broken.value.field == f"line_{without}"
    assert act.session.scalars(select(LineMatch)).all() == []


def test_a_line_matched_wrongly_is_matched_anew_and_the_newest_word_counts(act: Act, job: Job) -> None:
    keys = right_keys(act, job)
    first, second = keys
    match_lines(act, job.id, {first: keys[second], second: keys[first]})
    assert match_lines(act, job.id, keys) == 2
    assert {line.line_id: line.key for line in both_sides(act, job)[0]} == keys
    assert issue_invoice(later(act), job.id).net_minor == 4000


def test_a_line_of_another_job_is_refused(act: Act, job: Job) -> None:
    with pytest.raises(RuleBroken, match="Load the page again"):
        match_lines(act, job.id, right_keys(act, job) | {9999: 1})
