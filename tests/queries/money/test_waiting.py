"""What waits to be billed stands on a list of Money, whichever way the car went and however many there are."""

from datetime import datetime, timedelta

from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.queries.money.waiting import waiting_to_invoice
from shopbook.queries.shop.shop_on import shop_at
from shopbook.services.act import Act
from shopbook.services.money.hand_over import hand_over, let_go
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.payments import take_payment
from tests.makers import make_customer
from tests.makers.billing import make_agreed_job, make_job, name_payer


def waiting(session: Session, now: datetime) -> list[int]:
    return [job.id for job, _ in waiting_to_invoice(shop_at(session, now))]


def test_a_car_that_went_without_being_marked_ready_is_listed_until_it_is_billed(
    session: Session, now: datetime, act: Act
) -> None:
    job = make_agreed_job(session, now, ready_at=None)
    assert waiting(session, now) == []
    let_go(act, job.id, "comes back to pay")
    assert waiting(session, now) == [job.id]
    issue_invoice(act, job.id)
    assert waiting(session, now) == []


def test_more_than_fifty_are_all_listed_the_longest_ready_first(session: Session, now: datetime) -> None:
    ready = [now - timedelta(hours=hour) for hour in range(60)]
    jobs = [make_agreed_job(session, now, agreed_at=moment, ready_at=moment) for moment in ready]
    assert waiting(session, now) == [job.id for job in reversed(jobs)]


def test_what_its_payer_has_not_approved_is_listed_after_the_car_went(
    session: Session, now: datetime, act: Act
) -> None:
    """Excess 500.00 paid; the insurer approved nothing, so its share is held and the job is not done with."""
    job = make_agreed_job(session, now, agreed_at=now, ready_at=now)
    insurer = make_customer(session, "Northfield Mutual", "", kind="insurer")
    name_payer(session, job, job.customer, "excess", 50000)
    name_payer(session, job, insurer, "rest")
    issue_invoice(act, job.id)
    take_payment(act, job_id=job.id, amount_minor=50000, means="card", customer_id=job.customer_id)
    hand_over(act, job.id)
    assert session.get_one(Job, job.id).settled_at is None
    ((listed, stands),) = waiting_to_invoice(shop_at(session, now))
    assert (listed.id, stands.rest_minor) == (job.id, 0)
    assert [row.amount_minor for row in stands.held] == [stands.agreed_minor - 50000]
    assert make_job(session, now).id not in waiting(session, now)
