"""Credits, refunds, money moved, reversals and write-offs are listed by who did them, with the reason."""

from datetime import date, datetime, timedelta

from sqlalchemy.orm import Session

from shopbook.queries.reports.taken_back import TakenBack, list_taken_back, taken_back_by_others
from shopbook.services.act import Act
from shopbook.services.money.allocations import move_allocation
from shopbook.services.money.credits import credit_invoice
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.payments import refund, take_payment
from shopbook.services.money.reversals import reverse_payment
from shopbook.services.money.write_offs import write_off
from shopbook.trade.permissions import Role
from tests.makers import make_person
from tests.makers.billing import make_agreed_job, prove

TODAY = date(2026, 11, 5)


def told(row: TakenBack) -> tuple[str, str, int, str]:
    return row.person, row.kind, row.amount_minor, row.reason


def all_five(session: Session, now: datetime) -> tuple[Act, Act]:
    """Dana credits and moves, Sam refunds, reverses and writes off."""
    dana = Act(session, make_person(session, "Dana", Role.DESK), now)
    sam = Act(session, make_person(session, "Sam", Role.OWNER), now + timedelta(minutes=1))
    one, two = (make_agreed_job(session, now) for _ in range(2))
    first, second = issue_invoice(dana, one.id), issue_invoice(dana, two.id)
    paid = take_payment(dana, job_id=one.id, amount_minor=82616, means="card")
    credit_invoice(dana, first.id, reason="run in the clear", amount_minor=5000)
    move_allocation(
        dana, paid.id, from_invoice_id=None, to_invoice_id=second.id, amount_minor=2000, reason="wants it so"
    )
    refund(sam, paid.id, amount_minor=3000, means="card", reason="credited")
    other = take_payment(dana, job_id=two.id, amount_minor=10000, means="cheque")
    reverse_payment(sam, other.id, kind="returned_cheque", reason="not enough funds")
    write_off(sam, second.id, customer_id=two.customer_id, reason="moved abroad")
    return dana, sam


def test_all_five_stand_by_person_with_their_reason(session: Session, now: datetime) -> None:
    all_five(session, now)
    assert [told(row) for row in list_taken_back(session, date(2026, 11, 1), date(2026, 11, 30))] == [
        ("Dana", "credit", 5000, "run in the clear"),
        ("Dana", "moved", 2000, "wants it so"),
        ("Sam", "refund", 3000, "credited"),
        ("Sam", "returned_cheque", 10000, "not enough funds"),
        ("Sam", "written_off", 80616, "moved abroad"),
    ]
    assert list_taken_back(session, date(2026, 12, 1), date(2026, 12, 31)) == []
    prove(session)


def test_what_is_only_set_against_a_paper_or_rounded_is_none_of_them(session: Session, now: datetime, act: Act) -> None:
    job = make_agreed_job(session, now)
    issue_invoice(act, job.id)
    take_payment(act, job_id=job.id, amount_minor=90000, means="card")
    assert list_taken_back(session, TODAY, TODAY) == []


def test_the_owner_is_told_of_those_of_others(session: Session, now: datetime) -> None:
    dana, sam = all_five(session, now)
    yesterday = TODAY - timedelta(days=1)
    others = taken_back_by_others(session, yesterday, sam.actor.person_id)
    assert [row.kind for row in others] == ["credit", "moved"]
    assert [row.person for row in taken_back_by_others(session, yesterday, dana.actor.person_id)] == ["Sam"] * 3
    assert taken_back_by_others(session, TODAY + timedelta(days=1), sam.actor.person_id) == []


def test_what_is_dated_back_is_told_on_the_day_it_was_entered(session: Session, now: datetime, act: Act) -> None:
    job = make_agreed_job(session, now - timedelta(days=60), opened_on=date(2026, 9, 1))
    issue_invoice(act, job.id)
    on = date(2026, 9, 10)
    paid = take_payment(act, job_id=job.id, amount_minor=90000, means="card", on=on)
    desk = Act(session, make_person(session, "Dana", Role.DESK), now)
    refund(desk, paid.id, amount_minor=100, means="card", reason="quietly", on=on)
    assert [told(row) for row in taken_back_by_others(session, TODAY - timedelta(days=1), None)] == [
        ("Dana", "refund", 100, "quietly")
    ]
    assert [row.on for row in list_taken_back(session, on, on)] == [on]
