"""What is bought for one job."""

from datetime import datetime

import pytest
from sqlalchemy.orm import Session

from shopbook.services.act import Act
from shopbook.services.jobs.parts import add_part, part_came, send_part_back, strike_part
from shopbook.trade.errors import RuleBroken
from tests.makers.jobs import make_job


def test_a_price_follows_the_cost_until_it_is_typed(session: Session, now: datetime, act: Act) -> None:
    job = make_job(session)
    lamp = add_part(act, job.id, name="lamp", cost_minor=10_000)
    assert lamp.price_minor == 12_500
    part_came(act, lamp.id, cost_minor=12_000)
    assert (lamp.price_minor, lamp.came_on) == (15_000, now.date())
    fee = add_part(act, job.id, name="disposal", kind="fee", cost_minor=300)
    assert fee.price_minor == 300


def test_a_part_that_came_is_sent_back_before_it_is_struck(session: Session, now: datetime, act: Act) -> None:
    job = make_job(session)
    lamp = add_part(act, job.id, name="lamp", cost_minor=10_000)
    with pytest.raises(RuleBroken, match="not arrived yet"):
        send_part_back(act, lamp.id)
    part_came(act, lamp.id)
    with pytest.raises(RuleBroken, match="Send it back"):
        strike_part(act, lamp.id)
    send_part_back(act, lamp.id)
    assert lamp.credit_came_at is None
    send_part_back(act, lamp.id)
    assert lamp.credit_came_at == now


@pytest.mark.parametrize(("name", "cost"), [("", 100), ("lamp", -1)])
def test_a_part_without_a_name_or_below_zero_is_refused(session: Session, act: Act, name: str, cost: int) -> None:
    with pytest.raises(RuleBroken):
        add_part(act, make_job(session).id, name=name, cost_minor=cost)
