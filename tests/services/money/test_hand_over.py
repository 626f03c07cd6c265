"""When a car may go: what was agreed is invoiced and paid, or nothing is asked for it."""

from datetime import datetime

import pytest
from sqlalchemy.orm import Session

from shopbook.services.act import Act
from shopbook.services.money.hand_over import hand_over
from shopbook.trade.errors import RuleBroken
from tests.makers.billing import add_quote, make_job


@pytest.mark.parametrize(("price", "is_held"), [(0, False), (1, True)])
def test_a_car_for_which_nothing_is_asked_goes_without_an_invoice(
    session: Session, now: datetime, act: Act, price: int, is_held: bool
) -> None:
    """Work agreed for 0.00 needs no paper; work for 0.01 does."""
    job = make_job(session, now, agreed_at=now)
    add_quote(session, job, now, [("car", "Goodwill", [("labour", "Polish a mark out", price)])])
    if is_held:
        with pytest.raises(RuleBroken, match="Write the invoice first"):
            hand_over(act, job.id)
    assert (job.handed_over_at is None) or not is_held
    if not is_held:
        assert hand_over(act, job.id).handed_over_at == now
