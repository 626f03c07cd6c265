"""Mixes over several stages and jobs: drawn once, shared exactly, the rest kept as a pot or wasted."""

import pytest
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.shelf import Movement, Pot
from shopbook.queries.shelf.movements import prove_material
from shopbook.services.act import Act
from shopbook.services.floor.finishing import finish_stages
from shopbook.services.floor.mixes import Left, Poured, make_mix
from shopbook.trade.errors import RuleBroken
from tests.makers.floor import at, make_painter, make_use, make_work
from tests.makers.shelf import make_delivery, make_material

TWO_TO_ONE = [Poured("clear", 320_000), Poured("clear_activator", 160_000)]


def drawn(session: Session, stage_id: int | None, kind: str = "issued") -> int:
    asked = select(func.sum(Movement.quantity_thousandths)).where(Movement.kind == kind, Movement.stage_id == stage_id)
    return -int(session.scalar(asked) or 0)


def test_one_mix_for_two_jobs_leaves_the_shelf_once_and_each_pays_its_share(session: Session) -> None:
    dana, one, two = make_painter(session), make_work(session), make_work(session, "Clear the bonnet")
    clear, activator = make_material(session), make_material(session, "Activator", role="clear_activator")
    for material in (clear, activator):
        make_delivery(session, material)
    make_mix(Act(session, dana, at("9:00")), "Clear", TWO_TO_ONE, [(one.id, 300_000), (two.id, 180_000)])
    assert (drawn(session, one.id), drawn(session, two.id)) == (300_000, 180_000)
    assert (clear.on_hand_thousandths, activator.on_hand_thousandths) == (680_000, 840_000)
    assert prove_material(session, clear).is_sound


def test_what_is_left_and_kept_is_a_pot_at_nil_value(session: Session) -> None:
    dana, one = make_painter(session), make_work(session)
    clear = make_material(session)
    make_delivery(session, clear)
    make_mix(
        Act(session, dana, at("9:00")), "Clear", [Poured("clear", 100_000)], [(one.id, 80_000)], Left(20_000, True)
    )
    pot = session.scalars(select(Pot)).one()
    assert (pot.amount_thousandths, pot.job_id) == (20_000, one.job_id)
    assert drawn(session, one.id) == 100_000
    assert drawn(session, None, "wasted") == 0


def test_what_is_left_and_lost_is_waste_and_not_on_the_job(session: Session) -> None:
    dana, one = make_painter(session), make_work(session)
    make_delivery(session, make_material(session))
    make_mix(Act(session, dana, at("9:00")), "Clear", [Poured("clear", 100_000)], [(one.id, 80_000)], Left(20_000))
    assert (drawn(session, one.id), drawn(session, None, "wasted")) == (80_000, 20_000)
    assert session.scalars(select(Pot)).all() == []


def test_a_mix_made_by_hand_is_not_drawn_again_when_the_stage_is_done(session: Session) -> None:
    dana, one = make_painter(session), make_work(session)
    clear = make_material(session)
    make_use(session, one, "clear", 300)
    make_mix(Act(session, dana, at("9:00")), "Clear", [Poured("clear", 250_000)], [(one.id, 250_000)])
    finish_stages(Act(session, dana, at("9:30")), [one.id])
    assert clear.on_hand_thousandths == -250_000


def test_two_stages_done_together_are_one_cup(session: Session) -> None:
    dana, one, two = make_painter(session), make_work(session), make_work(session, "Clear the bonnet")
    clear = make_material(session)
    for stage, ml in ((one, 200), (two, 100)):
        make_use(session, stage, "clear", ml)
    finish_stages(Act(session, dana, at("9:30")), [one.id, two.id])
    assert (drawn(session, one.id), drawn(session, two.id)) == (200_000, 100_000)
    assert clear.on_hand_thousandths == -300_000
    assert session.scalar(select(func.count(func.distinct(Movement.mix_id)))) == 1


def test_colour_bought_for_the_job_is_noted_and_drawn_from_nowhere(session: Session) -> None:
    dana, one = make_painter(session), make_work(session)
    mix = make_mix(Act(session, dana, at("9:00")), "Base", [Poured("colour", 200_000)], [(one.id, 200_000)])
    assert mix.total_thousandths == 200_000
    assert session.scalars(select(Movement)).all() == []


@pytest.mark.parametrize(
    ("parts", "amount", "left", "says"),
    [
        ([Poured("clear", 0)], 0, 0, "how much was mixed"),
        ([Poured("clear", -5), Poured("clear_activator", 10)], 5, 0, "below zero"),
        ([Poured("clear", 100)], 50, 0, "do not add up to the mix"),
        ([Poured("clear", 100)], 0, 200, "More is left than was mixed"),
        ([Poured("clear", 10**13)], 10**13, 0, "too large"),
    ],
)
def test_sums_that_do_not_agree_are_refused(
    session: Session, parts: list[Poured], amount: int, left: int, says: str
) -> None:
    dana, one = make_painter(session), make_work(session)
    with pytest.raises(RuleBroken, match=says):
        make_mix(Act(session, dana, at("9:00")), "Clear", parts, [(one.id, amount)], Left(left))
