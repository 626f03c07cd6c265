"""The money of jobs: what was agreed, issued and paid, and who pays; each read once and handed down."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from sqlalchemy.orm import Session

from shopbook.models.customers import Customer
from shopbook.models.jobs import Job
from shopbook.queries.jobs.jobs import list_jobs_by_id
from shopbook.queries.jobs.whole import WholeJob
from shopbook.queries.money.approvals import Approvals, read_approvals
from shopbook.queries.money.billable import AgreedWork, BillingDay, agreed_work, billing_of, work_of
from shopbook.queries.money.invoices import PayerStanding, standings_of
from shopbook.queries.money.issued import Issued, issued_of
from shopbook.queries.money.payers import NamedPayer, payer_names, payers_by_job
from shopbook.queries.money.payments import FreePayment, read_payments, sum_free
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.customer_kinds import CustomerKind
from shopbook.trade.purposes import is_paid_for


@dataclass(frozen=True, slots=True)
class Charged:
    """What of a job says who is charged: whose car it is, and whether its agreed work is owed at all."""

    customer: Customer | None
    is_billed: bool
    is_insurers: bool


@dataclass(frozen=True, slots=True)
class Accounts:
    """The money of several jobs on a day, by job id. The edge makes it once; whatever asks of their money takes it.

    `standings` are by paper, `names` by customer; `free` is what was paid and is set against nothing, by who paid it.
    """

    shop: ShopOn
    billing: BillingDay
    charged: Mapping[int, Charged]
    approvals: Approvals
    work: Mapping[int, AgreedWork]
    issued: Mapping[int, Issued]
    standings: Mapping[int, list[PayerStanding]]
    payers: Mapping[int, list[NamedPayer]]
    names: Mapping[int, str]
    payments: Sequence[FreePayment]
    free: Mapping[int, Mapping[int | None, int]]
    securities: Mapping[int, int]

    def rows_owing(self, job_id: int) -> list[PayerStanding]:
        """How the payers of one job stand on the papers that somebody may still owe of."""
        return [row for paper in self.issued[job_id].owing for row in self.standings[paper.id]]

    def paid_free(self, job_id: int) -> int:
        """What was paid for one job and is set against nothing."""
        return sum(self.free.get(job_id, {}).values())

    def has_other_payer(self, job_id: int) -> bool:
        """Whether a payer's approval is wanted besides the customer's: a payer was named, or it is an insurer's job."""
        return self.charged[job_id].is_insurers or any(not payer.is_customer for payer in self.payers[job_id])


def read_accounts(shop: ShopOn, job_ids: Collection[int]) -> Accounts:
    """The money of these jobs on the shop's day; the number of statements does not depend on how many."""
    return read_accounts_for(shop, list_jobs_by_id(shop.session, job_ids).values())


def read_accounts_for(shop: ShopOn, jobs: Collection[Job]) -> Accounts:
    """The same of jobs that are read already, with their customers."""
    charged = {job.id: _charge(job) for job in sorted(jobs, key=lambda job: job.id)}
    approvals = read_approvals(shop.session, list(charged))
    return _read(shop, charged, approvals, agreed_work(shop.session, list(charged), approvals))


def read_account(shop: ShopOn, whole: WholeJob) -> Accounts:
    """The same of one job that is read already."""
    return read_accounts_of(shop, {whole.job.id: whole})


def read_accounts_of(shop: ShopOn, wholes: Mapping[int, WholeJob]) -> Accounts:
    """The same of several jobs that are read already, by job id."""
    approvals = read_approvals(shop.session, sorted(wholes))
    charged = {job_id: _charge(whole.job) for job_id, whole in sorted(wholes.items())}
    work = {job_id: work_of(wholes[job_id], approvals.agreed[job_id]) for job_id in charged}
    return _read(shop, charged, approvals, work)


def _read(
    shop: ShopOn, charged: Mapping[int, Charged], approvals: Approvals, work: Mapping[int, AgreedWork]
) -> Accounts:
    session, ids = shop.session, list(charged)
    issued = issued_of(session, ids)
    owing = [paper.id for each in issued.values() for paper in each.owing]
    standings = standings_of(session, owing, (row for each in issued.values() for row in each.every_share))
    payers = payers_by_job(session, ids, {job_id: each.customer for job_id, each in charged.items()})
    payments = read_payments(session, ids)
    free, securities = sum_free(payments)
    return Accounts(
        shop=shop,
        billing=billing_of(shop),
        charged=charged,
        approvals=approvals,
        work=work,
        issued=issued,
        standings=standings,
        payers=payers,
        names=_names(session, payers, standings, payments),
        payments=payments,
        free=free,
        securities=securities,
    )


def _names(
    session: Session,
    payers: Mapping[int, Sequence[NamedPayer]],
    standings: Mapping[int, Sequence[PayerStanding]],
    payments: Sequence[FreePayment],
) -> dict[int, str]:
    """How everybody is called who pays or paid, or whose share stands on a paper."""
    names = {payer.customer_id or 0: payer.name for own in payers.values() for payer in own}
    others = {row.customer_id or 0 for rows in standings.values() for row in rows}
    others = (others | {row.payment.customer_id or 0 for row in payments}) - {0, *names}
    return names | payer_names(session, others)


def _charge(job: Job) -> Charged:
    is_billed = is_paid_for(job.purpose) and job.called_off_at is None
    return Charged(job.customer, is_billed, job.payer_kind == CustomerKind.INSURER)
