"""The end of each car of the demo: ready, told, invoiced, paid one way or another, handed over; what comes later."""

from collections.abc import Callable
from datetime import date, datetime, timedelta
from functools import partial
from typing import Any

from shopbook.commands.demo.frame import Frame, Row
from shopbook.models.customers import Customer
from shopbook.models.money import Invoice
from shopbook.queries.money.invoices import payer_standings
from shopbook.queries.money.payments import list_free
from shopbook.services.act import Act
from shopbook.services.jobs.leaving import mark_ready, tell_ready
from shopbook.services.money.credits import credit_invoice
from shopbook.services.money.hand_over import hand_over, let_go
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.payments import refund, take_payment

_PAID_AT_ONCE = frozenset({"cash", "card", "transfer", "cheque"})


class Keys:
    """Whoever gives the keys back and takes the money."""

    def __init__(self, frame: Frame) -> None:
        self._frame = frame

    def ready(self, row: Row, owner: Customer, job_id: int, moment: datetime) -> None:
        """Nothing is left to do: the customer is told, and comes in a day or two."""
        session, desk = self._frame.session, self._frame.desk
        mark_ready(Act(session, desk, moment), job_id, with_open_stages=True)
        tell_ready(Act(session, desk, moment + timedelta(minutes=3)), job_id)
        if row.end != "ready":
            today = self._frame.hours.local_day(moment)
            self._when(today, self._frame.rng.randint(1, 2), "10:10", lambda at: self._collect(row, owner, job_id, at))

    def _when(self, day: date, working_days: int, clock: str, do: Callable[[datetime], None]) -> None:
        self._frame.push_near(self._frame.at(self._frame.after(day, working_days), clock), do, 40)

    def _owed(self, invoice: Invoice, customer_id: int) -> int:
        rows = payer_standings(self._frame.session, [invoice.id])[invoice.id]
        return sum(row.owed_minor for row in rows if row.customer_id == customer_id)

    def _collect(self, row: Row, owner: Customer, job_id: int, moment: datetime) -> None:
        session, desk, today = self._frame.session, self._frame.desk, self._frame.hours.local_day(moment)
        if row.end == "free":
            hand_over(Act(session, desk, moment), job_id)
            return
        invoice = issue_invoice(Act(session, desk, moment), job_id)
        if row.end == "late":
            let_go(Act(session, desk, moment + timedelta(minutes=5)), job_id, "regular customer, pays on Friday")
            return
        owed = self._owed(invoice, owner.id)
        if row.end in _PAID_AT_ONCE | {"insurer"} and owed > 0:
            more = 4_000 if row.has("over") else 0
            means = row.end if row.end in _PAID_AT_ONCE else "card"
            take_payment(Act(session, desk, moment), job_id=job_id, amount_minor=owed + more, means=means)
        hand_over(Act(session, desk, moment + timedelta(minutes=6)), job_id)
        self._later(row, owner, invoice, today)

    def _later(self, row: Row, owner: Customer, invoice: Invoice, today: date) -> None:
        if row.end == "account":
            self._when(today, 15, "11:00", partial(self._pay, owner.id, invoice, 600))
            self._when(today, 24, "11:00", partial(self._pay, owner.id, invoice, 1000))
        if row.end == "insurer":
            for share in payer_standings(self._frame.session, [invoice.id])[invoice.id]:
                if share.customer_id is not None and share.customer_id != owner.id:
                    self._when(today, 19, "14:10", partial(self._pay, share.customer_id, invoice, 1000))
        if row.has("credit"):
            self._when(today, 3, "15:00", lambda at: self._credit(invoice, at))

    def _pay(self, customer_id: int, invoice: Invoice, permille: int, moment: datetime) -> None:
        owed = self._owed(invoice, customer_id)
        if owed > 0:
            given: dict[str, Any] = {"means": "transfer", "customer_id": customer_id, "invoice_id": invoice.id}
            amount = owed * permille // 1000
            take_payment(
                Act(self._frame.session, self._frame.desk, moment), job_id=invoice.job_id, amount_minor=amount, **given
            )

    def _credit(self, invoice: Invoice, moment: datetime) -> None:
        """A scratch was found after the car left: part of the price is refunded."""
        session, desk = self._frame.session, self._frame.owner
        credit_invoice(Act(session, desk, moment), invoice.id, reason="Mark left on the trim", amount_minor=6_000)
        for row in list_free(session, job_id=invoice.job_id):
            given: dict[str, Any] = {"means": "cash", "reason": "Credited"}
            refund(Act(session, desk, moment), row.payment.id, amount_minor=row.free_minor, **given)
