"""Who pays for a job, by which rule, and what share of a bill that makes."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session, aliased

from shopbook.models.customers import Customer, whole_of
from shopbook.models.jobs import Job
from shopbook.models.money import JobPayer
from shopbook.queries.customers import name_on_papers
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.billing import Bill, BillLine
from shopbook.trade.billing.payers import PayerShare, PayRule, PayTerm, who_pays
from shopbook.trade.settings import SettingName

NOBODY_KEY = "owner"
THE_CUSTOMER = "Customer"
NOBODY = "no name"


@dataclass(frozen=True, slots=True)
class NamedPayer:
    """One payer's rule with the customer it is for (None: a customer whose name nobody kept).

    `line_keys` are lines that this payer agreed to pay, whoever's their item is.
    """

    customer: Customer | None
    rule: PayRule
    amount_minor: int = 0
    group_keys: tuple[str, ...] = ()
    reference: str = ""
    betterment_minor: int = 0
    betterment_code: str = ""
    line_keys: frozenset[int] = frozenset()
    is_customer: bool = False
    """Whether it is the customer whose car it is."""
    recorded_id: int | None = None
    """Of another payer, the id that the job names it by: of a merged customer its own, for what is written of it."""

    @property
    def key(self) -> str:
        """The payer as the trade names it."""
        return str(self.customer.id) if self.customer else NOBODY_KEY

    @property
    def customer_id(self) -> int | None:
        return self.customer.id if self.customer else None

    @property
    def name(self) -> str:
        """The payer as people say it."""
        return self.customer.called if self.customer else THE_CUSTOMER

    @property
    def name_on_papers(self) -> str:
        """The payer as a paper says it."""
        return name_on_papers(self.customer) if self.customer else THE_CUSTOMER


@dataclass(frozen=True, slots=True)
class NamedShare:
    """What one payer pays of a bill."""

    payer: NamedPayer
    share: PayerShare

    @property
    def gross_minor(self) -> int:
        return self.share.gross_minor


def list_job_payers(session: Session, job_id: int) -> list[JobPayer]:
    """The payers that were named for a job, in order; none: the customer pays all of it."""
    return list(session.scalars(select(JobPayer).where(JobPayer.job_id == job_id).order_by(JobPayer.id)))


def payers_of(session: Session, job: Job) -> list[NamedPayer]:
    """Who pays for a job: those named, or the customer alone."""
    return payers_by_job(session, [job.id])[job.id]


def payers_by_job(
    session: Session, job_ids: Collection[int], whose: Mapping[int, Customer | None] | None = None
) -> dict[int, list[NamedPayer]]:
    """The same for several jobs, by job id; two statements, one where it is known `whose` cars they are."""
    brought = _customers(session, job_ids) if whose is None else whose
    named = select(JobPayer, Customer).join(Customer, Customer.id == whole_of(JobPayer.customer_id))
    found: dict[int, list[NamedPayer]] = {job_id: [] for job_id in job_ids}
    for row, customer in session.execute(named.where(JobPayer.job_id.in_(job_ids)).order_by(JobPayer.id)):
        found[row.job_id].append(_named(row, customer, brought.get(row.job_id)))
    return {
        job_id: own or [NamedPayer(brought.get(job_id), PayRule.REST, is_customer=True)]
        for job_id, own in found.items()
    }


def _customers(session: Session, job_ids: Collection[int]) -> dict[int, Customer | None]:
    asked = select(Job.id, Customer).outerjoin(Customer, Customer.id == whole_of(Job.customer_id))
    return {job_id: customer for job_id, customer in session.execute(asked.where(Job.id.in_(job_ids)))}


def _named(row: JobPayer, customer: Customer, brought_by: Customer | None) -> NamedPayer:
    return NamedPayer(
        customer,
        PayRule(row.rule),
        row.amount_minor,
        tuple(key for key in row.group_keys.split(",") if key),
        row.reference,
        row.betterment_minor,
        row.betterment_code,
        is_customer=brought_by is not None and customer.id == brought_by.id,
        recorded_id=row.customer_id,
    )


def payer_names(session: Session, ids: Collection[int]) -> dict[int, str]:
    """How payers are called, by customer id, merged ones as the first; none asks nothing."""
    if not ids:
        return {}
    kept = aliased(Customer)
    asked = select(kept.id, Customer.name, Customer.phone).join(Customer, Customer.id == whole_of(kept.id))
    rows = session.execute(asked.where(kept.id.in_(ids)))
    return {key: name or phone or NOBODY for key, name, phone in rows}


def recorded_payer(session: Session, job: Job, customer_id: int | None) -> int | None:
    """The id under which money and papers of a job keep a payer: the customer's as the job has it (None means the
    customer), another payer's as the job names it, anybody else's own. So parting finds what is whose."""
    if customer_id is None or (job.customer is not None and job.customer.id == customer_id):
        return job.customer_id
    asked = select(JobPayer.customer_id).where(JobPayer.job_id == job.id, JobPayer.whose_id == customer_id)
    return session.scalar(asked) or customer_id


def terms_for(payers: Sequence[NamedPayer], lines: Sequence[BillLine]) -> list[PayTerm]:
    """The rules as the trade takes them; lines are a payer's by the item that they stand in, or by their own key."""
    taken = frozenset(key for payer in payers for key in payer.line_keys)
    return [
        PayTerm(
            payer.key,
            payer.rule,
            payer.amount_minor,
            frozenset(place for place, line in enumerate(lines) if _is_own(payer, line, taken)),
            payer.betterment_minor,
            payer.betterment_code,
        )
        for payer in payers
    ]


def _is_own(payer: NamedPayer, line: BillLine, taken: frozenset[int]) -> bool:
    if payer.rule is PayRule.REST:
        return False
    return line.key in payer.line_keys if line.key in taken else line.group_key in payer.group_keys


def share_bill(payers: Sequence[NamedPayer], bill: Bill) -> list[NamedShare]:
    """What each payer pays of a bill. RuleBroken where the rules ask for more than it comes to."""
    shares = who_pays(bill, terms_for(payers, bill.lines))
    return [NamedShare(payer, share) for payer, share in zip(payers, shares, strict=True)]


def usual_days(shop: ShopOn) -> int:
    """How many days the shop gives whoever has no days of its own."""
    return shop.settings[SettingName.PAYMENT_DAYS] or 0


def due_on(day: date, customer: Customer | None, usual: int) -> date:
    """When a payer billed on a day is to pay: that very day (before the keys), unless customer or shop gives days."""
    return day + timedelta(days=(customer.pays_within_days if customer else 0) or usual)
