"""Colour that a plan needs stands on what is bought for the job by itself, until it is ordered."""

import pytest
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.queries.jobs.colours import colours_to_buy
from shopbook.queries.jobs.jobs import get_job
from shopbook.queries.jobs.plans import list_stages
from shopbook.queries.jobs.whole import whole_job
from shopbook.services.act import Act
from shopbook.services.jobs.colour import order_colour
from shopbook.trade.catalogue.reading import own_catalogue
from shopbook.trade.errors import RuleBroken
from shopbook.trade.planning.colour_need import ColourNeed
from tests.makers.jobs import make_planned_job


def to_buy(session: Session, job: Job) -> list[ColourNeed]:
    session.expire_all()
    return colours_to_buy(whole_job(session, get_job(session, job.number)), own_catalogue())


def test_the_planned_colour_is_to_buy_until_it_is_ordered(session: Session, act: Act) -> None:
    job = make_planned_job(session)
    (need,) = to_buy(session, job)
    assert need.role == "colour"
    assert need.stage == next(each.name for each in list_stages(session, job.id) if each.code == "base_clear")
    assert 0 < need.need_thousandths <= need.sold_thousandths
    assert need.sold_thousandths % 250_000 == 0
    part = order_colour(act, job.id, "colour")
    assert (part.kind, part.name, part.ordered_at) == ("colour", need.words, act.moment)
    assert to_buy(session, job) == []
    with pytest.raises(RuleBroken):
        order_colour(act, job.id, "colour")
