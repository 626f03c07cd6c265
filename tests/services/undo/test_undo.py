"""Undo by figures: the worked example, what others took meanwhile, and what is refused in which sentence."""

from datetime import timedelta

import pytest
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.floor import ClockShare, Mix, RunningClock
from shopbook.models.jobs import Picture, PictureStrike, Stage
from shopbook.models.money import JobPayer
from shopbook.models.shelf import CountLine, Material, Movement
from shopbook.queries.floor.mixes import list_mixes
from shopbook.queries.jobs.damage import list_pictures
from shopbook.queries.jobs.plans import last_version
from shopbook.queries.reports.air import list_air_mixes
from shopbook.queries.reports.proofs import list_proofs
from shopbook.queries.shop.rates import settings_on
from shopbook.services.act import Act
from shopbook.services.floor.clocks import start_clock
from shopbook.services.floor.finishing import finish_stages
from shopbook.services.jobs.parts import add_part, change_part, strike_part
from shopbook.services.jobs.pictures import record_picture, strike_picture
from shopbook.services.jobs.plans import change_stage
from shopbook.services.money.payers import PayerRule, set_payers
from shopbook.services.postings import Source
from shopbook.services.shelf.counts import count_materials
from shopbook.services.shelf.deliveries import Came, take_in_delivery
from shopbook.services.shelf.stock import draw_stock
from shopbook.services.shop.rates import set_settings
from shopbook.trade.car.pictures import KeptPicture
from shopbook.trade.errors import Conflict, NotAllowed, NotFound
from shopbook.trade.permissions import Actor
from shopbook.trade.settings import SettingName
from tests.makers import make_customer
from tests.makers.floor import THURSDAY, at, make_painter, make_use, make_work
from tests.makers.jobs import make_job
from tests.makers.shelf import make_delivery, make_material
from tests.services.undo.pressing import press, take_back

CHANGED = "Someone changed this since."


@pytest.fixture
def clear(session: Session) -> Material:
    """2,000 ml worth 80.00."""
    material = make_material(session)
    make_delivery(session, material, 2)
    return material


@pytest.fixture
def dana(session: Session) -> Actor:
    """At 30.00 an hour."""
    return make_painter(session)


def hours_of(session: Session, stage: Stage) -> tuple[int, int]:
    asked = select(func.sum(ClockShare.minutes), func.sum(ClockShare.cost_minor)).where(ClockShare.stage_id == stage.id)
    minutes, cost = session.execute(asked).one()
    return int(minutes), int(cost)


def shelf(material: Material) -> tuple[int, int]:
    return material.on_hand_thousandths, material.value_minor


def test_a_finished_stage_is_in_hand_again_and_drawn_once_when_it_is_finished_again(
    session: Session, dana: Actor, clear: Material
) -> None:
    """The worked example of DEVELOPERS.md, "Way back"."""
    stage = make_work(session, "Base and clear")
    make_use(session, stage, "clear", 100)
    start_clock(Act(session, dana, at("9:00")), [stage.id])
    key = press(Act(session, dana, at("10:41")), lambda act: finish_stages(act, [stage.id]))
    assert (hours_of(session, stage), shelf(clear)) == ((101, 5050), (1_900_000, 7600))
    take_back(Act(session, dana, at("10:45")), key)
    assert (hours_of(session, stage), shelf(clear)) == ((0, 0), (2_000_000, 8000))
    assert (stage.finished_at, session.get_one(RunningClock, dana.person_id).started_at) == (None, at("9:00"))
    assert (list_mixes(session), list_air_mixes(session, THURSDAY, THURSDAY)) == ([], [])
    finish_stages(Act(session, dana, at("11:00")), [stage.id])
    assert (hours_of(session, stage), shelf(clear)) == ((120, 6000), (1_900_000, 7600))
    assert session.scalar(select(func.count()).select_from(Mix)) == 2
    assert [fault for proof in list_proofs(session) for fault in proof.faults] == []


def test_what_others_took_of_the_same_can_is_no_reason_to_refuse(session: Session, act: Act, clear: Material) -> None:
    stage = make_work(session)
    source = Source(job_id=stage.job_id, stage_id=stage.id)
    key = press(act, lambda act: draw_stock(act, clear, 300_000, source))
    draw_stock(act, clear, 500_000, Source())
    take_back(act, key)
    assert shelf(clear) == (1_500_000, 6000)
    assert session.scalar(select(func.sum(Movement.value_minor)).where(Movement.stage_id == stage.id)) == 0


def test_payers_that_were_named_the_other_way_round_are_back_in_their_places(session: Session, act: Act) -> None:
    """Both rows go and two others are given their ids: each holds what the other one held."""
    job_id = make_work(session).job_id
    owner, insurer = make_customer(session, "Thea Marsh"), make_customer(session, "Meadow Insurance", kind="insurer")
    rules = [PayerRule(owner.id, "excess", 50000), PayerRule(insurer.id, "rest")]
    set_payers(act, job_id, rules)
    before = payers_kept(session, job_id)
    key = press(act, lambda act: set_payers(act, job_id, rules[::-1]))
    assert payers_kept(session, job_id) != before
    take_back(act, key)
    assert payers_kept(session, job_id) == before


def payers_kept(session: Session, job_id: int) -> list[tuple[object, ...]]:
    """The rows that say who pays, by their ids."""
    asked = select(JobPayer.id, JobPayer.customer_id, JobPayer.rule, JobPayer.amount_minor)
    return [tuple(row) for row in session.execute(asked.where(JobPayer.job_id == job_id).order_by(JobPayer.id))]


def test_a_change_is_refused_once_the_row_was_changed_by_another(session: Session, act: Act) -> None:
    part = add_part(act, make_work(session).job_id, name="Handle", kind="part", cost_minor=1200)
    key = press(act, lambda act: change_part(act, part.id, name="Door handle"))
    change_part(act, part.id, cost_minor=1300)
    with pytest.raises(Conflict, match=CHANGED):
        take_back(act, key)
    assert (part.name, part.cost_minor) == ("Door handle", 1300)


def test_a_part_that_was_removed_is_back_and_one_that_was_added_stands_as_removed(session: Session, act: Act) -> None:
    part = add_part(act, make_work(session).job_id, name="Handle", kind="part", cost_minor=1200)
    take_back(act, press(act, lambda act: strike_part(act, part.id)))
    assert part.struck_at is None
    made: list[int] = []
    key = press(act, lambda act: made.append(add_part(act, part.job_id, name="Clip", kind="part").id))
    take_back(act, key)
    assert session.get_one(type(part), made[0]).struck_at == act.moment


def test_the_plan_as_it_stands_again_is_a_version_of_its_own(session: Session, act: Act) -> None:
    stage = make_work(session, minutes=60)
    before = last_version(session, stage.job_id)
    key = press(act, lambda act: change_stage(act, stage.id, planned_minutes=90, why="deeper"))
    take_back(act, key)
    assert (stage.planned_minutes, stage.is_touched, last_version(session, stage.job_id)) == (60, False, before + 2)


def test_a_setting_holds_as_before_from_the_same_day(session: Session, act: Act) -> None:
    name = SettingName.STRICT_APPROVAL
    held = settings_on(session, act.day)[name]
    key = press(act, lambda act: set_settings(act, {name: not held}, act.day))
    assert settings_on(session, act.day)[name] is not held
    take_back(act, key)
    assert settings_on(session, act.day)[name] is held


def test_a_setting_that_was_set_again_is_not_undone(session: Session, act: Act) -> None:
    name = SettingName.STRICT_APPROVAL
    held = settings_on(session, act.day)[name]
    key = press(act, lambda act: set_settings(act, {name: not held}, act.day))
    set_settings(act, {name: held}, act.day)
    with pytest.raises(Conflict, match=CHANGED):
        take_back(act, key)


def test_a_delivery_has_no_undo_for_the_supplier_has_a_paper_of_it(session: Session, act: Act, clear: Material) -> None:
    key = press(
        act, lambda act: take_in_delivery(act, supplier_id=None, lines=[Came(clear.id, 4000, packs_quarters=4)])
    )
    with pytest.raises(NotFound):
        take_back(act, key)


def test_undo_is_once_within_ten_minutes_and_for_who_pressed(session: Session, act: Act, dana: Actor) -> None:
    stage = make_work(session)
    key = press(act, lambda act: change_stage(act, stage.id, planned_minutes=90, why="deeper"))
    with pytest.raises(NotAllowed, match="Only the person who pressed"):
        take_back(Act(session, dana, act.moment), key)
    with pytest.raises(Conflict, match="ten minutes"):
        take_back(Act(session, act.actor, act.moment + timedelta(minutes=10, seconds=1)), key)
    take_back(Act(session, act.actor, act.moment + timedelta(minutes=10)), key)
    with pytest.raises(Conflict, match="undone already"):
        take_back(act, key)


def test_a_removed_photo_is_shown_again_and_an_added_one_removed_by_a_line_each(session: Session, act: Act) -> None:
    kept = KeptPicture("a" * 64, "b" * 64, 640, 480, 1000)
    job = make_job(session)
    added = press(act, lambda act: record_picture(act, job.id, kept))
    picture = session.scalars(select(Picture)).one()
    removed = press(act, lambda act: strike_picture(act, picture.id))
    with pytest.raises(Conflict, match=CHANGED):
        take_back(act, added)
    take_back(act, removed)
    assert list_pictures(session, job.id) == [picture]
    with pytest.raises(Conflict, match=CHANGED):
        take_back(act, added)
    other = press(act, lambda act: record_picture(act, job.id, kept))
    take_back(act, other)
    assert list_pictures(session, job.id) == [picture]
    assert session.scalars(select(PictureStrike.is_struck).order_by(PictureStrike.id)).all() == [True, False, True]


def test_a_count_taken_back_stays_to_be_read_and_its_movements_are_countered(
    session: Session, act: Act, clear: Material
) -> None:
    key = press(act, lambda act: count_materials(act, [(clear.id, 1_500_000)]))
    assert shelf(clear) == (1_500_000, 6000)
    take_back(act, key)
    session.refresh(clear)
    assert shelf(clear) == (2_000_000, 8000)
    assert session.scalars(select(CountLine.seen_thousandths)).all() == [1_500_000]
