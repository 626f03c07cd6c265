"""Who pays for a job, by which rule, and what share of a bill that makes."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.customers import Customer
from shopbook.models.jobs import Job
from shopbook.models.money import JobPayer, Quote
from shopbook.queries.money.quotes import bill_of_quote
from shopbook.trade.billing import Bill
from shopbook.trade.payers import PayerShare, PayRule, PayTerm, who_pays


@dataclass(frozen=True, slots=True)
class NamedPayer:
    """One payer's rule with the customer it is for (None: an owner whose name nobody kept)."""

    customer: Customer | None
    rule: PayRule
    amount_minor: int = 0
    group_keys: tuple[str, ...] = ()
    reference: str = ""

    @property
    def key(self) -> str:
        """The payer as the trade names it."""
        return str(self.customer.id) if self.customer else "owner"


@dataclass(frozen=True, slots=True)
class NamedShare:
    """What one payer pays of a bill."""

    payer: NamedPayer
    share: PayerShare

    @property
    def gross_minor(self) -> int:
        return self.share.gross_minor


def list_job_payers(session: Session, job_id: int) -> list[JobPayer]:
    """The payers that were named for a job, in order; none: the owner pays all of it."""
    return list(session.scalars(select(JobPayer).where(JobPayer.job_id == job_id).order_by(JobPayer.id)))


def payers_of(session: Session, job: Job) -> list[NamedPayer]:
    """Who pays for a job: those named, or the owner alone."""
    rows = list_job_payers(session, job.id)
    wanted = {row.customer_id for row in rows} | ({job.customer_id} if job.customer_id else set())
    people = {one.id: one for one in session.scalars(select(Customer).where(Customer.id.in_(wanted)))}
    if not rows:
        return [NamedPayer(people.get(job.customer_id or 0), PayRule.REST)]
    return [
        NamedPayer(
            people[row.customer_id],
            PayRule(row.rule),
            row.amount_minor,
            tuple(key for key in row.group_keys.split(",") if key),
            row.reference,
        )
        for row in rows
    ]


def terms_for(payers: Sequence[NamedPayer], bill: Bill) -> list[PayTerm]:
    """The rules as the trade takes them; lines are a payer's by the item that they stand in."""
    return [
        PayTerm(
            payer.key,
            payer.rule,
            payer.amount_minor,
            frozenset(
                place
                for place, line in enumerate(bill.lines)
                if payer.rule is PayRule.LINES and line.group_key in payer.group_keys
            ),
        )
        for payer in payers
    ]


def share_bill(payers: Sequence[NamedPayer], bill: Bill) -> list[NamedShare]:
    """What each payer pays of a bill. RuleBroken where the rules ask for more than it comes to."""
    shares = who_pays(bill, terms_for(payers, bill))
    return [NamedShare(payer, share) for payer, share in zip(payers, shares, strict=True)]


def shares_of_quote(
    session: Session, job: Job, quote: Quote, taken_ids: Collection[int] | None = None
) -> list[NamedShare]:
    """Who pays what of a quote's groups that are taken (None: of all)."""
    return share_bill(payers_of(session, job), bill_of_quote(session, quote, taken_ids))
