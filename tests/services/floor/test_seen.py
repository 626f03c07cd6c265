"""A wait that ends stands on top of the list until somebody presses Seen or starts what it opens."""

import pytest
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job, Stage
from shopbook.queries.floor.work import list_work
from shopbook.services.act import Act
from shopbook.services.floor.clocks import start_clock
from shopbook.services.floor.finishing import finish_stages
from shopbook.services.floor.seen import see_dry
from shopbook.services.jobs.doing import reopen_stage
from shopbook.trade.errors import RuleBroken
from shopbook.trade.permissions import Actor
from tests.makers.floor import at, make_painter, make_wait, make_work

Car = tuple[Actor, Stage, Stage, Stage]


@pytest.fixture
def car(session: Session) -> Car:
    """Dana's primer of 9:00 dries until 12:00; two stages sand it then."""
    dana, prime = make_painter(session), make_work(session, "Prime")
    make_wait(session, prime, 180)
    job = session.get_one(Job, prime.job_id)
    again, block = (make_work(session, name, job=job, after_stage_id=prime.id) for name in ("Block again", "Block"))
    finish_stages(Act(session, dana, at("9:00")), [prime.id])
    return dana, prime, block, again


def ended(session: Session, dana: Actor, clock: str) -> list[tuple[str, str]]:
    session.flush()
    return [(wait.stage, wait.next_stage) for wait in list_work(session, dana, at(clock)).ended]


def test_it_stands_there_from_its_end_until_seen(session: Session, car: Car) -> None:
    dana, prime, *_ = car
    assert ended(session, dana, "11:59") == []
    assert ended(session, dana, "12:00") == [("Prime", "Block")]
    see_dry(Act(session, dana, at("12:05")), prime.id)
    assert ended(session, dana, "12:06") == []


def test_a_press_before_the_end_answers_nothing(session: Session, car: Car) -> None:
    dana, prime, *_ = car
    see_dry(Act(session, dana, at("11:00")), prime.id)
    assert ended(session, dana, "12:10") == [("Prime", "Block")]


@pytest.mark.parametrize("is_done", [False, True])
def test_a_start_of_one_stage_that_it_opens_answers_it_for_all(session: Session, car: Car, is_done: bool) -> None:
    dana, _, block, _ = car
    start_clock(Act(session, dana, at("12:10")), [block.id])
    if is_done:
        finish_stages(Act(session, dana, at("12:40")), [block.id])
    assert ended(session, dana, "12:41") == []


def test_done_again_at_one_it_stands_there_from_four_whatever_was_seen(session: Session, car: Car) -> None:
    dana, prime, *_ = car
    see_dry(Act(session, dana, at("12:05")), prime.id)
    reopen_stage(Act(session, dana, at("12:30")), prime.id)
    with pytest.raises(RuleBroken, match="open again"):
        see_dry(Act(session, dana, at("12:31")), prime.id)
    finish_stages(Act(session, dana, at("13:00")), [prime.id])
    assert ended(session, dana, "15:59") == []
    assert ended(session, dana, "16:00") == [("Prime", "Block")]
