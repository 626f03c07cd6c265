"""When can you take it: three offers of a day and half-day, with odds once thirty cars are finished."""

from datetime import timedelta

from sqlalchemy.orm import Session

from shopbook.queries.diary.offers import OFFERS, Offers, offers_for
from shopbook.queries.shop.shop_on import shop_at
from shopbook.trade.diary.board import first_slot, last_slot
from shopbook.trade.diary.odds import FEWEST
from shopbook.trade.permissions import Actor
from tests.house.test_query_plans import watching
from tests.makers.diary import MONDAY, make_hands, make_promised_job
from tests.makers.floor import THURSDAY, at
from tests.makers.plans import draft, make_damage
from tests.queries.diary.test_odds import make_gone_car

MORNING = at("7:30")


def asked(session: Session) -> Offers:
    session.flush()
    return offers_for(shop_at(session, MORNING), draft([make_damage(1)]), MORNING)


def test_three_offers_each_come_and_are_ready_later_than_the_one_before(session: Session) -> None:
    make_hands(session)
    offers = asked(session).offers
    assert len(offers) == OFFERS
    assert offers[0].drop_off == (THURSDAY, "morning")
    comes, back = [first_slot(each.drop_off) for each in offers], [last_slot(each.told) for each in offers]
    assert comes == sorted(set(comes))
    assert back == sorted(set(back))


def test_without_thirty_finished_cars_half_a_day_is_added_and_no_odds_are_said(session: Session, owner: Actor) -> None:
    make_hands(session)
    for _ in range(FEWEST - 1):
        make_gone_car(session, owner, 60, 60)
    few = asked(session)
    assert (few.cars, {each.tenths for each in few.offers}) == (FEWEST - 1, {None})
    make_gone_car(session, owner, 60, 60)
    many = asked(session)
    assert last_slot(many.offers[0].told) < last_slot(few.offers[0].told)
    assert many.offers[0].tenths == 10, "every car kept to its hours"


def test_cars_that_took_longer_make_the_day_later_and_the_odds_are_theirs(session: Session, owner: Actor) -> None:
    make_hands(session)
    for place in range(FEWEST):
        make_gone_car(session, owner, 60, 60 if place < 15 else 180)
    offers = asked(session).offers
    assert offers[0].tenths == 10, "the half-day that eight of ten kept was kept by all"
    assert offers[0].told[0] > THURSDAY + timedelta(days=1)


def test_where_nobody_can_do_the_work_it_is_said_instead(session: Session) -> None:
    found = asked(session)
    assert found.offers == ()
    assert "Nobody here does" in found.trouble


def test_offers_cost_the_same_statements_however_many_cars_are_promised(session: Session) -> None:
    make_hands(session)

    def ask() -> int:
        session.flush()
        session.expire_all()
        with watching(session.get_bind()) as watch:  # type: ignore[arg-type]
            asked(session)
        assert watch.walks == {}
        return watch.statements

    few = ask()
    for _ in range(3):
        make_promised_job(session, comes=THURSDAY, back=MONDAY)
    assert ask() == few
