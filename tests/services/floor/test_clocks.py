"""The one clock of a person: started, switched, shared over stages, stopped by itself, finished as planned."""

from datetime import date

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.floor import ClockEntry, ClockShare, RunningClock
from shopbook.models.jobs import Stage
from shopbook.models.money import MonthClose
from shopbook.queries.floor.clocks import find_attendance, find_running
from shopbook.queries.floor.entries import list_entries, list_unagreed_work, time_by_stage
from shopbook.queries.floor.mixes import list_mixes
from shopbook.services.act import Act
from shopbook.services.floor.clocks import close_overdue_clocks, pause_clock, start_clock, start_other
from shopbook.services.floor.finishing import AS_PLANNED, MixedInstead, Used, finish_stages
from shopbook.services.floor.mixes import Left
from shopbook.services.jobs.doing import reopen_stage
from shopbook.services.jobs.plans import strike_stage
from shopbook.services.shop.rates import set_settings
from shopbook.trade.errors import RuleBroken
from shopbook.trade.permissions import Actor
from shopbook.trade.settings import SettingName
from tests.makers.floor import THURSDAY, at, make_open_job, make_painter, make_use, make_work
from tests.makers.shelf import make_delivery, make_material
from tests.makers.shop import STARTED


def minutes_of(session: Session, person: Actor, on: date = THURSDAY) -> list[tuple[str, int]]:
    return [(entry.what, entry.minutes) for entry in list_entries(session, on, on, person.person_id)]


def test_starting_a_second_stage_pauses_the_first(session: Session) -> None:
    dana = make_painter(session)
    block, polish = make_work(session), make_work(session, "Nib, polish")
    start_clock(Act(session, dana, at("9:00")), [block.id])
    start_clock(Act(session, dana, at("9:40")), [polish.id])
    running = find_running(session, dana.person_id or 0)
    assert running is not None
    assert [share.stage_id for share in running.shares] == [polish.id]
    assert minutes_of(session, dana) == [("stage", 40)]


def test_the_same_stage_once_more_goes_on_as_it_is(session: Session) -> None:
    dana, stage = make_painter(session), make_work(session)
    start_clock(Act(session, dana, at("9:00")), [stage.id])
    assert start_clock(Act(session, dana, at("9:05")), [stage.id]).started_at == at("9:00")
    assert minutes_of(session, dana) == []


def test_one_clock_on_two_jobs_is_split_by_planned_hours_and_sums_exactly(session: Session) -> None:
    dana = make_painter(session, cost=3100)
    long, short = make_work(session, minutes=60), make_work(session, "Block the wing", minutes=25)
    start_clock(Act(session, dana, at("9:00")), [long.id, short.id])
    pause_clock(Act(session, dana, at("10:01")))
    shares = {share.stage_id: share for share in session.scalars(select(ClockShare))}
    assert (shares[long.id].minutes, shares[short.id].minutes) == (43, 18)
    # 61 minutes at 31.00 an hour are 31.52, whatever the parts round to.
    assert shares[long.id].cost_minor + shares[short.id].cost_minor == 3152
    assert shares[long.id].job_id != shares[short.id].job_id


def test_two_people_join_on_one_stage_and_finishing_stops_both(session: Session) -> None:
    dana, sam = make_painter(session), make_painter(session, "Sam")
    stage, other = make_work(session), make_work(session, "Another")
    start_clock(Act(session, dana, at("9:00")), [stage.id])
    start_clock(Act(session, sam, at("9:10")), [stage.id, other.id])
    finish_stages(Act(session, dana, at("9:30")))
    assert find_running(session, dana.person_id or 0) is None
    left = find_running(session, sam.person_id or 0)
    assert left is not None
    assert [share.stage_id for share in left.shares] == [other.id]
    assert {(t.person, t.minutes) for t in time_by_stage(session, [stage.job_id])[stage.id]} == {
        ("Dana", 30),
        ("Sam", 10),
    }


def test_the_first_start_begins_the_stage_and_the_job_and_brings_the_person_in(session: Session) -> None:
    dana, job = make_painter(session), make_open_job(session)
    stage = make_work(session, job=job)
    start_clock(Act(session, dana, at("8:20")), [stage.id])
    assert session.get_one(Stage, stage.id).begun_at == at("8:20")
    assert job.begun_at == at("8:20")
    came = find_attendance(session, dana.person_id or 0, THURSDAY)
    assert came is not None
    assert (came.came_at, came.went_at) == (at("8:20"), None)


def test_what_is_done_or_struck_out_takes_no_clock(session: Session) -> None:
    dana, stage, struck = make_painter(session), make_work(session), make_work(session, "Left out")
    finish_stages(Act(session, dana, at("9:00")), [stage.id])
    strike_stage(Act(session, dana, at("9:00")), struck.id)
    with pytest.raises(RuleBroken, match="done already"):
        start_clock(Act(session, dana, at("9:10")), [stage.id])
    with pytest.raises(RuleBroken, match="removed from the plan"):
        start_clock(Act(session, dana, at("9:10")), [struck.id])
    with pytest.raises(RuleBroken, match="done already"):
        finish_stages(Act(session, dana, at("9:10")), [stage.id])


def test_work_without_a_yes_is_clocked_and_flagged_and_looking_is_not(session: Session) -> None:
    dana = make_painter(session)
    plain = make_work(session, is_agreed=False)
    look = make_work(session, "Strip and inspect", is_agreed=False, purpose="strip_and_look")
    start_clock(Act(session, dana, at("9:00")), [plain.id, look.id])
    pause_clock(Act(session, dana, at("9:30")))
    assert [(row.stage_id, row.minutes) for row in list_unagreed_work(session)] == [(plain.id, 15)]
    flags = {share.stage_id: share.is_agreed for share in session.scalars(select(ClockShare))}
    assert flags == {plain.id: False, look.id: True}


def test_a_strict_shop_begins_nothing_without_a_yes_but_looks(session: Session, owner: Actor) -> None:
    set_settings(Act(session, owner, at("8:00")), {SettingName.STRICT_APPROVAL: True}, THURSDAY)
    dana = make_painter(session)
    plain = make_work(session, is_agreed=False)
    look = make_work(session, "Strip and inspect", is_agreed=False, purpose="strip_and_look")
    with pytest.raises(RuleBroken, match="not approved yet"):
        start_clock(Act(session, dana, at("9:00")), [plain.id])
    assert start_clock(Act(session, dana, at("9:00")), [look.id])


def test_a_clock_stops_at_lunch_whoever_looks_and_whenever(session: Session) -> None:
    dana, stage = make_painter(session), make_work(session)
    start_clock(Act(session, dana, at("11:30")), [stage.id])
    assert close_overdue_clocks(session, at("11:59")) == 0
    assert close_overdue_clocks(session, at("15:00")) == 1
    assert close_overdue_clocks(session, at("15:00")) == 0
    entry = session.scalars(select(ClockEntry)).one()
    assert (entry.minutes, entry.stopped_at, entry.by_person_id) == (30, at("12:00"), None)


def test_a_clock_left_overnight_stops_at_closing(session: Session) -> None:
    dana, stage = make_painter(session), make_work(session)
    start_clock(Act(session, dana, at("16:00")), [stage.id])
    start_other(Act(session, dana, at("9:00", date(2026, 11, 6))), "cleaning")
    assert minutes_of(session, dana) == [("stage", 60)]


def test_done_after_lunch_counts_the_time_on_both_sides_of_it(session: Session) -> None:
    """Who looked in between makes no difference."""
    for who, looked in (("Dana", False), ("Sam", True)):
        person, stage = make_painter(session, who), make_work(session)
        start_clock(Act(session, person, at("11:30")), [stage.id])
        if looked:
            close_overdue_clocks(session, at("13:00"))
        finish_stages(Act(session, person, at("14:00")), [stage.id])
        assert minutes_of(session, person) == [("stage", 30), ("stage", 90)], who


def test_done_after_lunch_claims_nothing_when_something_else_was_clocked_since(session: Session) -> None:
    dana, stage = make_painter(session), make_work(session)
    start_clock(Act(session, dana, at("11:30")), [stage.id])
    start_other(Act(session, dana, at("12:40")), "cleaning")
    pause_clock(Act(session, dana, at("13:00")))
    finish_stages(Act(session, dana, at("14:00")), [stage.id])
    assert minutes_of(session, dana) == [("stage", 30), ("cleaning", 20)]


def test_pausing_a_clock_that_stands_says_where_the_time_is(session: Session) -> None:
    with pytest.raises(RuleBroken, match="day sheet"):
        pause_clock(Act(session, make_painter(session), at("9:00")))


def test_done_draws_mixes_and_pieces_as_planned_and_never_the_shop_floor(session: Session) -> None:
    dana, stage = make_painter(session), make_work(session)
    clear = make_material(session)
    activator = make_material(session, "Activator, normal", role="clear_activator")
    tape = make_material(
        session, "Tape", role="tape", way="shop_supplies", unit="piece", pack_thousandths=12_000, pack_name="box"
    )
    clips = make_material(
        session, "Clips", role="clip_set", way="piece", unit="piece", pack_thousandths=1000, pack_name="1"
    )
    for one in (clear, activator, tape, clips):
        make_delivery(session, one)
    make_use(session, stage, "clear", 320)
    make_use(session, stage, "clear_activator", 160)
    make_use(session, stage, "tape", 1, unit="piece", way="shop_supplies", mix="")
    make_use(session, stage, "clip_set", 1, unit="piece", way="piece", mix="")
    finish_stages(Act(session, dana, at("9:30")), [stage.id])
    assert clear.on_hand_thousandths == 680_000
    assert activator.on_hand_thousandths == 840_000
    assert tape.on_hand_thousandths == 12_000
    assert clips.on_hand_thousandths == 0


def test_what_was_really_mixed_is_scaled_by_the_plans_ratio_and_kept_as_touched(session: Session) -> None:
    dana, stage = make_painter(session), make_work(session)
    clear, activator = make_material(session), make_material(session, "Activator", role="clear_activator")
    make_use(session, stage, "clear", 320)
    make_use(session, stage, "clear_activator", 160)
    used = Used(mixes={"clear_medium": MixedInstead(300_000, Left(30_000, is_kept=False))})
    finish_stages(Act(session, dana, at("9:30")), [stage.id], used)
    assert (clear.on_hand_thousandths, activator.on_hand_thousandths) == (-200_000, -100_000)
    (mix,) = list_mixes(session, stage_id=stage.id)
    assert (mix.total_thousandths, mix.left_thousandths, mix.is_assumed) == (300_000, 30_000, False)
    assert mix.shares[0].amount_thousandths == 270_000


def test_a_stage_opened_again_and_done_again_draws_nothing_twice(session: Session) -> None:
    dana, stage = make_painter(session), make_work(session)
    clear = make_material(session)
    thinner = make_material(session, "Gun thinner", role="gun_thinner")
    make_use(session, stage, "clear", 320)
    make_use(session, stage, "gun_thinner", 120, mix="")
    make_use(session, stage, "gun_thinner", 120, mix="")
    finish_stages(Act(session, dana, at("9:30")), [stage.id])
    reopen_stage(Act(session, dana, at("9:40")), stage.id)
    finish_stages(Act(session, dana, at("9:50")), [stage.id], AS_PLANNED)
    assert clear.on_hand_thousandths == -320_000
    assert thinner.on_hand_thousandths == -240_000


@pytest.mark.parametrize("amount", [-1, 10**13])
def test_an_amount_that_cannot_be_is_refused_and_nothing_is_done(session: Session, amount: int) -> None:
    dana, stage = make_painter(session), make_work(session)
    make_use(session, stage, "clear", 320)
    with pytest.raises(RuleBroken):
        finish_stages(Act(session, dana, at("9:30")), [stage.id], Used(mixes={"clear_medium": MixedInstead(amount)}))


def test_a_clock_forgotten_into_a_closed_month_blocks_nobody(session: Session, owner: Actor) -> None:
    dana, stage = make_painter(session), make_work(session)
    start_clock(Act(session, dana, at("16:00")), [stage.id])
    session.add(MonthClose(month="2026-11", through_on=date(2026, 11, 30), at=STARTED, person_id=owner.person_id))
    session.flush()
    close_overdue_clocks(session, at("9:00", date(2026, 12, 1)))
    assert session.scalars(select(RunningClock)).all() == []
    assert minutes_of(session, dana) == []
