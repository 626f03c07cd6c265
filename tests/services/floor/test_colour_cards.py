"""Spray-out cards: kept per car and colour, said of the next job, removed with a way back."""

from datetime import date

import pytest
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.queries.floor.colour_cards import list_cards, list_cards_in
from shopbook.queries.floor.sprays import list_colour_records
from shopbook.queries.jobs.plans import list_stages
from shopbook.services.act import Act
from shopbook.services.floor.colour_cards import CardSaid, keep_colour_card, remove_colour_card
from shopbook.services.floor.sprays import keep_spray_record
from shopbook.trade.air.spray_record import Spraying, say_record
from shopbook.trade.coating.paints import Paint
from shopbook.trade.errors import RuleBroken
from tests.makers import make_customer
from tests.makers.floor import THURSDAY, at, make_painter
from tests.makers.jobs import make_job, make_planned_job

BLEND = CardSaid(THURSDAY, variant=" 3 ", shade="darker", formula="White 412.5\nBlack 30", verdict="blend")


def coloured(session: Session) -> Job:
    job = make_planned_job(session)
    assert job.vehicle is not None
    job.vehicle.colour_code = "HB-4"
    return job


def act_of(session: Session) -> Act:
    return Act(session, make_painter(session), at("15:00"))


def test_a_card_stands_with_the_car_and_its_colour_and_is_changed_in_place(session: Session) -> None:
    act, job = act_of(session), coloured(session)
    card = keep_colour_card(act, job.id, BLEND)
    assert (card.colour_code, card.variant, card.shade, card.vehicle_id) == ("HB-4", "3", "darker", job.vehicle_id)
    keep_colour_card(act, job.id, CardSaid(THURSDAY, variant="3", verdict="match"), card.id)
    assert [each.verdict for each in list_cards(session, card.vehicle_id)] == ["match"]
    assert list_cards_in(session, "h b-4") == [card]


def test_last_time_says_the_verdict_for_colour_and_not_for_clear(session: Session) -> None:
    act, job = act_of(session), coloured(session)
    keep_colour_card(act, job.id, BLEND)
    stage = next(one for one in list_stages(session, job.id) if one.code == "base_clear")
    for paint in (Paint.BASE_SOLVENT, Paint.CLEAR_MEDIUM):
        keep_spray_record(act, stage.id, Spraying(THURSDAY, "", paint, 2, tip_mm=1.3), variant="3")
    clear, base = list_colour_records(session, "hb-4", cards=list_cards_in(session, "hb-4"))
    assert say_record(base, "Base").endswith(": variant 3, base, tip 1.3 mm, blend, 2 coats.")
    assert "blend" not in say_record(clear, "Clear")


def test_what_cannot_be_is_refused_beside_its_field(session: Session) -> None:
    act, job = act_of(session), coloured(session)
    with pytest.raises(RuleBroken, match="up to today") as told:
        keep_colour_card(act, job.id, CardSaid(date(2027, 1, 1)))
    assert told.value.field == "made_on"
    assert job.vehicle is not None
    job.vehicle.colour_code = ""
    with pytest.raises(RuleBroken, match="code") as told:
        keep_colour_card(act, job.id, CardSaid(THURSDAY))
    assert told.value.field == "colour_code"
    with pytest.raises(RuleBroken, match="no car"):
        keep_colour_card(
            act, make_job(session, customer_id=make_customer(session).id).id, CardSaid(THURSDAY, colour_code="B")
        )


def test_a_card_of_another_car_is_not_changed_from_here(session: Session) -> None:
    act = act_of(session)
    card = keep_colour_card(act, coloured(session).id, BLEND)
    with pytest.raises(RuleBroken, match="another car"):
        keep_colour_card(act, coloured(session).id, BLEND, card.id)


def test_a_removed_card_is_gone(session: Session) -> None:
    act, job = act_of(session), coloured(session)
    card = keep_colour_card(act, job.id, BLEND)
    remove_colour_card(act, card.id)
    assert list_cards(session, job.vehicle_id or 0) == []
