"""The ledger's rows and pages, coats on the panel, and one job's page, asked in few statements."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, datetime, timedelta

import pytest
from sqlalchemy import event
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.shop import CatalogueEntry
from shopbook.queries.jobs.coats import PanelSign, job_coats
from shopbook.queries.jobs.damage import list_damages
from shopbook.queries.jobs.jobs import Tab, list_jobs, page_mark
from shopbook.queries.jobs.kerb import work_out_kerb
from shopbook.queries.jobs.ledger import ledger_head
from shopbook.queries.jobs.planning import planning_on
from shopbook.queries.jobs.plans import list_stages
from shopbook.queries.jobs.what_if import what_if_of
from shopbook.queries.shop.rates import catalogue_on
from shopbook.queries.shop.shop_on import shop_at
from shopbook.services.act import Act
from shopbook.services.jobs.damage import change_damage
from shopbook.services.jobs.drafting import draft_plan
from shopbook.services.jobs.jobs import plan_days
from shopbook.services.jobs.plan_warnings import accept_warning
from shopbook.trade.catalogue.reading import entry_body, own_catalogue
from shopbook.trade.permissions import THE_PROGRAM, Actor
from shopbook.trade.planning.comparing import Change
from shopbook.trade.planning.kerb import KerbAnswer
from shopbook.trade.planning.shapes import PaintChoice, SizeStep
from shopbook.trade.pricing import further_savings
from tests.asking import begin_stage, end_stage, job_sheet, ledger_rows
from tests.makers.jobs import make_damage, make_job, make_planned_job
from tests.makers.quotes import make_given_quote

MOST_STATEMENTS = 10


@contextmanager
def counted(session: Session) -> Iterator[list[str]]:
    """The statements that are sent while the block runs."""
    sent: list[str] = []

    def note(connection: object, cursor: object, statement: str, *rest: object) -> None:
        sent.append(statement)

    engine = session.get_bind()
    event.listen(engine, "before_cursor_execute", note)
    try:
        yield sent
    finally:
        event.remove(engine, "before_cursor_execute", note)


def signs_of(session: Session, job: Job, now: datetime) -> list[PanelSign]:
    catalogue = catalogue_on(session, now.date())
    return job_coats(list_stages(session, job.id), list_damages(session, job.id), catalogue, now, "#2f5f9b")


def finish_until(session: Session, actor: Actor, at: datetime, job: Job, code: str) -> None:
    for stage in list_stages(session, job.id):
        if stage.finished_at is not None:
            continue
        begin_stage(Act(session, actor, at), stage.id)
        end_stage(Act(session, actor, at), stage.id)
        if stage.code == code:
            return


def test_the_ledger_asks_as_often_for_one_job_as_for_many(session: Session, now: datetime) -> None:
    make_planned_job(session, is_agreed=True)
    session.flush()
    session.expire_all()
    with counted(session) as one:
        ledger_rows(session, list_jobs(session), now)
    for _ in range(4):
        make_planned_job(session, "bonnet", "roof", is_agreed=True)
    session.flush()
    session.expire_all()
    with counted(session) as many:
        rows = ledger_rows(session, list_jobs(session), now)
    assert len(rows) == 5
    assert len(many) == len(one) <= MOST_STATEMENTS


def test_the_page_of_a_job_asks_as_often_for_a_long_plan_as_for_a_short_one(session: Session, now: datetime) -> None:
    counts = []
    for panels in (("bonnet",), ("bonnet", "roof", "right_front_door", "right_rear_door")):
        job = make_planned_job(session, *panels)
        session.flush()
        with counted(session) as sent:
            job_sheet(session, job, now)
        counts.append(len(sent))
    assert counts[0] == counts[1]


def test_pages_follow_on_without_gap_or_double_also_for_jobs_without_a_day(
    session: Session, now: datetime, act: Act
) -> None:
    for days in (None, 3, 1, 1, None):
        job = make_job(session, at=now)
        if days:
            plan_days(act, job.id, None, "", now.date() + timedelta(days=days), "")
    session.flush()
    seen: list[int] = []
    mark = ""
    while page := list_jobs(session, Tab.OPEN, mark, 2):
        seen += [job.id for job in page]
        mark = page_mark(page[-1])
    assert seen == [job.id for job in list_jobs(session, Tab.OPEN)]
    promised = [job.promise_on or date.max for job in list_jobs(session, Tab.OPEN)]
    assert promised == sorted(promised)


@pytest.mark.parametrize("mark", ["", "nonsense", "2026-99-99.1", "2026-11-05.x"])
def test_a_page_mark_that_cannot_be_read_begins_anew(session: Session, mark: str) -> None:
    job = make_job(session)
    assert list_jobs(session, Tab.OPEN, mark) == [job]


def test_an_untouched_panel_shows_old_paint_and_what_is_to_come(session: Session, now: datetime) -> None:
    (sign,) = signs_of(session, make_planned_job(session), now)
    assert (sign.on, sign.waiting) == (("metal", "old"), None)
    assert sign.due == ("filler", "primer", "base", "clear")
    assert sign.state == "dented"


def test_primer_waits_and_then_lies_and_the_old_paint_is_gone(session: Session, owner: Actor, now: datetime) -> None:
    job = make_planned_job(session, is_agreed=True)
    finish_until(session, owner, now, job, "prime")
    wait = next(stage for stage in list_stages(session, job.id) if stage.code == "prime").not_before_minutes
    assert wait > 0
    (wet,) = signs_of(session, job, now)
    assert (wet.on, wet.waiting, wet.due) == (("metal", "filler"), "primer", ("base", "clear"))
    assert wet.state == "primer drying"
    (dry,) = signs_of(session, job, now + timedelta(minutes=wait))
    assert (dry.on, dry.waiting, dry.state) == (("metal", "filler", "primer"), None, "in primer")


def test_a_finished_panel_has_all_its_coats(session: Session, owner: Actor, now: datetime) -> None:
    job = make_planned_job(session, is_agreed=True)
    finish_until(session, owner, now, job, "hand_over")
    (sign,) = signs_of(session, job, now)
    assert sign.on == ("metal", "filler", "primer", "base", "clear")
    assert sign.state == "{clear} is hard"


def test_a_plastic_bumper_stands_on_plastic_and_a_neighbour_says_blend(session: Session, now: datetime) -> None:
    job = make_planned_job(session, "rear_bumper")
    change_damage(
        Act(session, THE_PROGRAM, now), list_damages(session, job.id)[0].id, substrate="plastic", kind="scuff"
    )
    assert signs_of(session, job, now)[0].on[0] == "plastic"
    blended = make_job(session)
    make_damage(session, blended, "right_front_door", paint="blend")
    draft_plan(Act(session, THE_PROGRAM, now), blended.id)
    states = {sign.panel: sign.state for sign in signs_of(session, blended, now)}
    assert states["right_front_door"] == "dented"
    assert {state for panel, state in states.items() if panel != "right_front_door"} == {"blend"}


def test_an_edit_of_the_catalogue_holds_from_its_day_and_never_reaches_an_agreed_plan(
    session: Session, now: datetime
) -> None:
    agreed = make_planned_job(session, is_agreed=True)
    kind = own_catalogue("us").stages["pull"]
    body = entry_body(kind) | {"fixed_minutes": kind.fixed_minutes + 60}
    session.add(CatalogueEntry(kind="stage", code="pull", body=body, from_on=date(2026, 11, 1), at=now))
    session.flush()
    assert catalogue_on(session, date(2026, 10, 31)).stages["pull"] == kind
    assert catalogue_on(session, date(2026, 11, 1)).stages["pull"].fixed_minutes == kind.fixed_minutes + 60
    before = [stage.planned_minutes for stage in list_stages(session, agreed.id)]
    draft_plan(Act(session, THE_PROGRAM, now), agreed.id)
    assert [stage.planned_minutes for stage in list_stages(session, agreed.id)] == before


def test_the_sums_count_what_is_here_due_and_without_a_yes(
    session: Session, owner: Actor, now: datetime, act: Act
) -> None:
    job = make_planned_job(session, is_agreed=True)
    begin_stage(act, list_stages(session, job.id)[0].id)
    plan_days(act, job.id, None, "", date(2026, 11, 5), "")
    make_job(session)
    make_given_quote(session)
    session.flush()
    make_job(session).is_sample = True
    session.flush()
    sums = ledger_head(shop_at(session, now)).sums
    assert (sums.in_shop, sums.out_today, sums.not_approved) == (1, 1, 1)
    assert sums.agreed_minutes_left == sum(stage.planned_minutes for stage in list_stages(session, job.id))


def test_what_was_promised_for_an_earlier_day_still_counts_as_going_out(
    session: Session, owner: Actor, now: datetime, act: Act
) -> None:
    for day, number in ((date(2026, 11, 4), 1), (date(2026, 11, 6), 1)):
        job = make_planned_job(session, is_agreed=True)
        begin_stage(act, list_stages(session, job.id)[0].id)
        plan_days(act, job.id, None, "", day, "")
        session.flush()
        assert ledger_head(shop_at(session, now)).sums.out_today == number


def test_a_warning_is_open_until_somebody_accepts_just_these_words(session: Session, now: datetime, act: Act) -> None:
    job = make_planned_job(session)
    first = job_sheet(session, job, now).open_warnings[0]
    accept_warning(act, job.id, first.code, first.sentence + " Not this.")
    assert first in job_sheet(session, job, now).open_warnings
    accept_warning(act, job.id, first.code, first.sentence)
    assert first.code not in {each.code for each in job_sheet(session, job, now).open_warnings}


def test_a_warning_is_over_with_the_stage_it_speaks_of_and_one_of_the_whole_with_the_last_coat(
    session: Session, owner: Actor, now: datetime, act: Act
) -> None:
    job = make_job(session)
    make_damage(session, job, "bonnet", kind="bad_repair", depth="deep")
    draft_plan(act, job.id)

    def heeded() -> set[str]:
        return {each.code for each in job_sheet(session, job, now).open_warnings}

    assert {"hidden_depth", "no_blend"} <= heeded()
    finish_until(session, owner, now, job, "strip_old")
    assert "no_blend" in heeded()
    assert "hidden_depth" not in heeded()
    finish_until(session, owner, now, job, "base_clear")
    assert "no_blend" not in heeded()


def test_the_list_price_gives_way_to_what_is_typed_and_the_sum_adds_up(session: Session, now: datetime) -> None:
    answers = [KerbAnswer("bonnet"), KerbAnswer("roof", SizeStep.L), KerbAnswer("boot_lid", paint=PaintChoice.NO_PAINT)]
    listed = work_out_kerb(shop_at(session, now), answers, {})
    saved = sum(each.amount_minor for each in further_savings(list(listed.painted.values()), listed.terms))
    assert listed.price_minor == sum(line.price_minor or 0 for line in listed.lines) - saved
    assert listed.draft is not None
    assert listed.cover is not None
    typed = work_out_kerb(shop_at(session, now), answers, {"roof": 12_345}, days=4)
    assert (typed.lines[1].price_minor, typed.days) == (12_345, 4)
    assert typed.lines[2].price_minor == listed.lines[2].price_minor


def test_a_panel_costs_the_same_whatever_is_tapped_beside_it(session: Session, now: datetime) -> None:
    """What the second one saves is taken off the sum, in every order of taps, and never off a panel's price."""
    bonnet, roof = KerbAnswer("bonnet", SizeStep.S), KerbAnswer("roof", SizeStep.L)
    both = work_out_kerb(shop_at(session, now), [bonnet, roof], {})
    alone = [work_out_kerb(shop_at(session, now), [answer], {}) for answer in (bonnet, roof)]
    assert [line.price_minor for line in both.lines] == [each.price_minor for each in alone]
    (saving,) = further_savings(list(both.painted.values()), both.terms)
    assert both.price_minor == sum(each.price_minor for each in alone) - saving.amount_minor
    assert work_out_kerb(shop_at(session, now), [roof, bonnet], {}).price_minor == both.price_minor


def test_nothing_tapped_costs_nothing_and_brings_no_error(session: Session, now: datetime) -> None:
    empty = work_out_kerb(shop_at(session, now), [], {})
    assert (empty.price_minor, empty.days, empty.draft, empty.cover, empty.back_on) == (0, 0, None, None, None)


def test_three_working_days_from_a_thursday_end_on_tuesday(session: Session, now: datetime) -> None:
    assert now.strftime("%A") == "Thursday"
    worked = work_out_kerb(shop_at(session, now), [KerbAnswer("bonnet")], {}, days=3)
    assert worked.back_on == date(2026, 11, 10)


def test_a_third_coat_of_clear_wants_more_clear_and_more_work(session: Session, now: datetime) -> None:
    job = make_planned_job(session)
    shop = shop_at(session, now)
    answer = what_if_of(shop, job, planning_on(shop, job), Change(clear_coats=3))
    assert answer.after.ml_by_mix["Clear coat"] > answer.before.ml_by_mix["Clear coat"]
    assert answer.after.minutes > answer.before.minutes
    assert answer.after.price_minor > answer.before.price_minor
