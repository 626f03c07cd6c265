"""A job with a customer who bears an excess and an insurer who pays the rest, and what each of them is billed."""

from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.customers import Customer
from shopbook.models.money import Approval, ApprovalGroup, Invoice, InvoicePayer
from shopbook.queries.money.owed import JobStands, job_stands
from shopbook.services.act import Act
from shopbook.services.money.invoices import issue_invoice
from shopbook.trade.permissions import Actor
from tests.makers.billing import add_quote, make_job, name_payer, prove, say_pays
from tests.makers.customers import make_customer

LATER = timedelta(hours=2)
WORK = ("car", "Left side", [("labour", "Body and paint", 100_000), ("part", "Fender", 75_458)])
"""US: labor without tax, parts at 8 %: 1,000.00 + 754.58 + 60.37 = 1,814.95."""
UNTAXED = ("car", "Left side", [("labour", "Body and paint", 100_000), ("labour", "Paint", 81_495)])
"""The same total without tax: a sum cut in two invoices rounds its tax twice, which may be a unit less or more."""
EXTRA = ("behind", "Rust behind it", [("labour", "Cut out and weld", 9_750)])
REPAIR = ("car", "Left side", [("labour", "Body and paint", 150_000)])
"""UK: 1,500.00 + VAT 300.00."""


class Insured:
    """A job with a customer who bears an excess and an insurer who pays the rest."""

    def __init__(self, session: Session, now: datetime, *, rule: str = "excess", excess: int = 50_000, **given: Any):
        self.session, self.now = session, now
        self.thea = make_customer(session, "Thea Marsh", "555-0101")
        self.insurer = make_customer(session, "Meadow Insurance", "", kind="insurer", pays_within_days=30)
        self.job = make_job(session, now, self.thea, payer_kind="insurer")
        name_payer(session, self.job, self.thea, rule, excess, **given)
        name_payer(session, self.job, self.insurer, "rest")

    def work(self, *groups: Any, kind: str = "quote", at: timedelta = timedelta(0), **given: Any) -> None:
        add_quote(self.session, self.job, self.now + at, groups, kind=kind, **given)

    def approves(self, pays: int, kind: str = "quote", at: timedelta = timedelta(0)) -> Approval:
        return say_pays(self.session, self.job, self.insurer, pays, self.now + at, kind)

    def customer_pays(self, minor: int) -> None:
        """The newest approval of the customer becomes one to pay as well; before it is kept, as the form does."""
        approval = self.session.scalars(
            select(Approval).where(Approval.party == "customer").order_by(Approval.id)
        ).all()[-1]
        again = {
            name: getattr(approval, name)
            for name in ("job_id", "quote_id", "party", "customer_id", "means", "said_by", "said_at")
        }
        row = Approval(**again, amount_minor=minor, pays_minor=minor, at=approval.at, on=approval.on)
        self.session.add(row)
        self.session.flush()
        for mark in self.session.scalars(select(ApprovalGroup).where(ApprovalGroup.approval_id == approval.id)).all():
            self.session.add(ApprovalGroup(approval_id=row.id, group_id=mark.group_id, is_taken=mark.is_taken))
        self.session.flush()

    def invoice(self, owner: Actor, at: timedelta = timedelta(0)) -> tuple[int, int, int]:
        """An invoice is written: its total with tax and what customer and insurer are billed."""
        paper = issue_invoice(Act(self.session, owner, self.now + at), self.job.id)
        prove(self.session)
        return paper.gross_minor, *billed(self.session, paper)

    def stands(self) -> JobStands:
        return job_stands(self.session, [self.job.id], self.now.date())[self.job.id]


def billed(session: Session, paper: Invoice) -> list[int]:
    rows = session.scalars(select(InvoicePayer).where(InvoicePayer.invoice_id == paper.id).order_by(InvoicePayer.id))
    return [row.share_minor for row in rows]


def insured_invoice(act: Act) -> tuple[Invoice, Customer]:
    """1,814.95 without tax: the customer is to pay 500.00, the insurer 1,314.95 as it approved; invoice and insurer."""
    session, now = act.session, act.moment
    job = make_job(session, now)
    add_quote(session, job, job.opened_at, [("car", "Repair", [("labour", "Repair", 181495)])])
    insurer = make_customer(session, "Meadow Insurance", "", kind="insurer", pays_within_days=30)
    name_payer(session, job, session.get_one(Customer, job.customer_id), "excess", 50000)
    name_payer(session, job, insurer, "rest", reference="claim 77")
    say_pays(session, job, insurer, 131495, now)
    return issue_invoice(act, job.id), insurer
