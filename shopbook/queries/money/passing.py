"""Which payers a job's invoices would bill past their approval, and by how much: asked before anything is issued."""

from collections.abc import Mapping
from dataclasses import dataclass

from sqlalchemy.orm import Session

from shopbook.models.customers import Customer
from shopbook.models.jobs import Job
from shopbook.queries.money.billable import AgreedWork, BillingDay, agreed_work, asked_of
from shopbook.queries.money.issued import Issued, issued_of
from shopbook.queries.money.payers import NamedPayer, payers_of
from shopbook.queries.money.whose import (
    NamedSum,
    approved_bill,
    approved_by,
    find_shares,
    have_others,
    payers_who_agreed,
)
from shopbook.trade.agreeing.approvals import passed_by
from shopbook.trade.billing.payers import PayRule
from shopbook.trade.errors import RuleBroken


@dataclass(frozen=True, slots=True)
class Approved:
    """What the payers of one job approved and were billed, read once: who may be billed how much in all."""

    work: AgreedWork
    issued: Issued
    payers: tuple[NamedPayer, ...]
    billing: BillingDay

    def limit_of(self, customer_id: int | None) -> int:
        """How much one payer may be billed of the job in all, with tax; who is no payer of it approved nothing."""
        known = next((payer for payer in self.payers if payer.customer_id == customer_id), None)
        more = self.issued.approved.get(customer_id, 0)
        if known is None:
            return more
        if not have_others(self.payers):
            return self._whole() + more
        if known.is_customer:
            return find_shares(self.payers, approved_bill(self.work.quotes)).get(known.key, 0) + more
        return approved_by(self.payers, self.work.quotes)[known.key] + more

    def _whole(self) -> int:
        """What was approved and what the shop's allowance lets in beyond it; zero where it cannot be worked out."""
        try:
            agreed = asked_of(self.work, self.billing).agreed_minor
        except RuleBroken:
            return 0
        return agreed + self.billing.allowance.of(agreed)


def read_approved(session: Session, job: Job, billing: BillingDay) -> Approved:
    """The same of one job at the rates of its day of supply."""
    work, issued = agreed_work(session, [job.id])[job.id], issued_of(session, [job.id])[job.id]
    payers = payers_who_agreed(session, payers_of(session, job), work.quotes)
    return Approved(work, issued, tuple(payers), billing)


def list_passed(session: Session, found: Approved, added: Mapping[int | None, int]) -> list[NamedSum]:
    """Whom `added` (by payer, with tax, below zero for less) would bill past its approval, and by how much."""
    slack = len(found.billing.rates)
    rows = []
    for customer_id, more in added.items():
        before = found.issued.billed.get(customer_id, 0)
        over = passed_by(before + more, before, found.limit_of(customer_id), slack) if more > 0 else 0
        if over:
            rows.append(NamedSum(_payer(session, found, customer_id), over))
    return rows


def _payer(session: Session, found: Approved, customer_id: int | None) -> NamedPayer:
    known = next((payer for payer in found.payers if payer.customer_id == customer_id), None)
    return known or NamedPayer(session.get(Customer, customer_id) if customer_id else None, PayRule.REST)
