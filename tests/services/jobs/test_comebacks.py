"""A car that comes back is a new job, linked to the first."""

from datetime import datetime, timedelta

import pytest
from sqlalchemy.orm import Session

from shopbook.queries.jobs.comebacks import comebacks_of, find_first_job
from shopbook.services.act import Act
from shopbook.services.jobs.comebacks import open_comeback
from shopbook.trade.errors import RuleBroken
from tests.makers.jobs import make_job


def test_a_car_that_comes_back_is_a_job_of_its_own_linked_to_the_first(
    session: Session, now: datetime, act: Act
) -> None:
    first = make_job(session)
    first.handed_over_at = now - timedelta(days=9)
    comes_on = now.date() + timedelta(days=2)
    job = open_comeback(act, first.id, wrong="Edge shows", why=" blend too short ", drop_off_on=comes_on)
    assert (job.customer_id, job.vehicle_id, job.purpose) == (first.customer_id, first.vehicle_id, "comeback")
    assert (job.comeback_why, job.drop_off_on) == ("blend too short", comes_on)
    numbers = [each.number for each in comebacks_of(session, [first.id]) if each.after_id == first.id]
    assert (numbers, find_first_job(session, job)) == ([job.number], first.number)
    assert find_first_job(session, first) is None


def test_what_is_wrong_before_the_car_has_left_is_rework_on_its_own_job(session: Session, act: Act) -> None:
    with pytest.raises(RuleBroken, match="rework"):
        open_comeback(act, make_job(session).id, wrong="A run in the clear")
