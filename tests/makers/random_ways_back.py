"""A desk that also takes back at random: payments and refunds reversed, jobs cancelled and taken up, cars ready."""

import random
from collections.abc import Callable
from contextlib import suppress

from sqlalchemy import select

from shopbook.models.money import Approval, Invoice, Payment
from shopbook.models.session import transaction
from shopbook.queries.money.invoices import payer_standings
from shopbook.queries.money.payments import list_free
from shopbook.services.act import Act
from shopbook.services.jobs.jobs import call_off, take_up_again
from shopbook.services.jobs.leaving import mark_ready
from shopbook.services.money.hand_over import hand_over
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.payments import refund, take_payment
from shopbook.services.money.reversals import Again, reverse_payment
from shopbook.services.money.reversed_refunds import RefundAgain, reverse_refund
from shopbook.services.money.withdrawals import withdraw_approval
from shopbook.trade.billing.pay_means import PayMeans
from shopbook.trade.billing.reversals import ENTERED_AGAIN, reversals_of
from shopbook.trade.errors import Conflict, RuleBroken
from tests.makers.random_desk import Desk


class ForgetfulDesk(Desk):
    """The desk with its mistakes: what it entered is taken back again, or was entered for another job."""

    def begin(self, seed: int, jobs: int) -> None:
        """A history of so many jobs of its own, in the same book."""
        self.dice, self.jobs = random.Random(seed), []
        with transaction(self.session):
            for _ in range(jobs):
                self.open()

    def acts(self) -> list[Callable[[], object]]:
        usual = [act for act in super().acts() if act != self.open]
        back = [self.reverse, self.reverse, self.refund_wrong, self.refund_wrong, self.off, self.withdraw]
        return [*usual, *back, self.close, self.close, self.close, self.close, self.ready, self.ready, self.go]

    def own(self, *kinds: str) -> Payment:
        """A line of money of this history's jobs."""
        asked = select(Payment).where(Payment.job_id.in_(self.jobs), Payment.kind.in_(kinds)).order_by(Payment.id)
        found = self.session.scalars(asked).all()
        if not found:
            raise RuleBroken("no money yet")
        return self.dice.choice(found)

    def act(self) -> Act:
        return Act(self.session, self.who, self.now)

    def close(self) -> None:
        """A job to its end: all of it billed and paid, the rest given back, the car handed over."""
        job = self.job()
        with suppress(RuleBroken, Conflict):
            issue_invoice(self.act(), job.id)
        papers = self.session.scalars(select(Invoice.id).where(Invoice.job_id == job.id, Invoice.kind != "credit"))
        owing = [row for rows in payer_standings(self.session, papers.all()).values() for row in rows]
        for payer in dict.fromkeys(row.customer_id for row in owing if row.owed_minor > 0):
            amount = sum(row.owed_minor for row in owing if row.customer_id == payer)
            take_payment(self.act(), job_id=job.id, amount_minor=amount, means="card", customer_id=payer)
        for row in list_free(self.session, job_id=job.id, with_security=True):
            refund(self.act(), row.payment.id, amount_minor=row.free_minor, means="card", reason="all done")
        hand_over(self.act(), job.id)

    def reverse(self) -> None:
        payment = self.own("payment", "deposit", "held", "security")
        kind = self.dice.choice(reversals_of(PayMeans(payment.means)))
        again = None
        if kind in ENTERED_AGAIN and self.dice.random() < 0.7:
            amount = self.dice.choice((None, self.dice.randint(1, 50000)))
            again = Again(self.job().number, self.means(), payment.on, amount)
        reverse_payment(self.act(), payment.id, kind=kind, reason="slip", again=again)

    def refund_wrong(self) -> None:
        wrong = self.own("refund")
        again = RefundAgain(self.dice.randint(1, 5000), self.means(), wrong.on) if self.dice.random() < 0.5 else None
        reverse_refund(self.act(), wrong.id, reason="slip", again=again)

    def ready(self) -> None:
        mark_ready(self.act(), self.job().id, with_open_stages=True)

    def off(self) -> None:
        job = self.job()
        if job.called_off_at is not None:
            take_up_again(self.act(), job.id)
        elif self.dice.random() < 0.3:
            call_off(self.act(), job.id, "changed their mind")

    def withdraw(self) -> None:
        given = self.session.scalars(select(Approval.id).where(Approval.job_id.in_(self.jobs))).all()
        if given and self.dice.random() < 0.3:
            withdraw_approval(self.act(), self.dice.choice(given), reason="never said so")
