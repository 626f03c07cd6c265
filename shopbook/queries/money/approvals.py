"""Approvals: the work that the customer approved, what the payer approved, and what is open."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from sqlalchemy import exists, select
from sqlalchemy.orm import Session

from shopbook.models.customers import whole_of
from shopbook.models.jobs import Job
from shopbook.models.money import (
    Approval,
    ApprovalGroup,
    ApprovalReading,
    ApprovalWithdrawal,
    JobPayer,
    Quote,
    QuoteGroup,
)
from shopbook.queries.money.open_quotes import OpenQuotes, read_open_quotes
from shopbook.queries.money.quotes import is_main, keys_of, priced_quotes, quotes_of
from shopbook.queries.money.withdrawals import WithdrawnApproval, is_not_withdrawn
from shopbook.trade.agreeing.words import Party
from shopbook.trade.billing import BillLine
from shopbook.trade.customer_kinds import CustomerKind
from shopbook.trade.pricing import PricedQuote, QuoteSum
from shopbook.trade.purposes import JobPurpose


@dataclass(frozen=True, slots=True)
class AgreedQuote:
    """One quote as the customer's newest approval has it: groups taken and left, and what the taken ones come to.

    `sum` and `priced` are the quote's as it was given, never at the rates of another day. `approvals` are all that were
    given to it, of customer and payers, oldest first; `readings`, by approval, what the ones kept without three figures
    are said to pay.
    """

    quote: Quote
    approval: Approval
    taken: tuple[QuoteGroup, ...]
    left: tuple[QuoteGroup, ...]
    sum: QuoteSum
    priced: PricedQuote
    approvals: tuple[Approval, ...] = ()
    readings: Mapping[int, ApprovalReading] = field(default_factory=dict)

    @property
    def groups(self) -> tuple[QuoteGroup, ...]:
        """All of it, taken or left."""
        return (*self.taken, *self.left)

    @property
    def discounts(self) -> list[BillLine]:
        """What comes off the whole of it."""
        return [line for line in self.sum.taken.lines if line.is_whole_bill]

    @property
    def is_paid_by_customer(self) -> bool:
        """Whether it is an extra that the customer agreed to pay too, beside whoever else pays for the job."""
        return self.approval.pays_minor is not None and not is_main(self.quote)

    @property
    def gross_minor(self) -> int:
        """With tax: what may be billed without another approval (an estimate's limit)."""
        return self.sum.most_minor


@dataclass(frozen=True, slots=True)
class AgreedSum:
    """What a job is agreed for. `gross_minor` is the price, `most_minor` what a new approval is needed above."""

    net_minor: int = 0
    tax_minor: int = 0
    gross_minor: int = 0
    most_minor: int = 0


@dataclass(frozen=True, slots=True)
class OpenApproval:
    """An approval that somebody was asked for and has not given."""

    quote: Quote
    job: Job
    party: str
    since: datetime
    gross_minor: int


def list_approvals(session: Session, job_id: int) -> list[Approval]:
    """Every approval of a job's quotes, oldest first."""
    return approvals_of(session, [job_id]).get(job_id, [])


def approvals_of(session: Session, job_ids: Iterable[int]) -> dict[int, list[Approval]]:
    """Every approval of several jobs that was not withdrawn, oldest first, by job id."""
    session.flush()
    found: dict[int, list[Approval]] = {}
    asked = select(Approval).where(Approval.job_id.in_(list(job_ids)), is_not_withdrawn())
    for row in session.scalars(asked.order_by(Approval.id)):
        found.setdefault(row.job_id, []).append(row)
    return found


def agreed_quotes(session: Session, job_id: int) -> list[AgreedQuote]:
    """What the customer approved: the newest approved main quote, then each approved extra, in order."""
    return agreed_quotes_of(session, [job_id])[job_id]


def agreed_quotes_of(session: Session, job_ids: Collection[int]) -> dict[int, list[AgreedQuote]]:
    """The same for several jobs, by job id; a handful of statements however many."""
    return read_approvals(session, job_ids).agreed


@dataclass(frozen=True, slots=True)
class Approvals:
    """The quotes of jobs, every approval of them, and which of them stands, by job id; each read once and handed down.

    A job without any is not in `quotes` and `given`; every job is in `agreed`.
    """

    quotes: dict[int, list[Quote]]
    given: dict[int, list[Approval]]
    agreed: dict[int, list[AgreedQuote]]
    taken: dict[int, dict[int, bool]]
    """Of the customer's newest approval of each quote, by its id: whether each group was taken, by group id."""
    withdrawn: dict[int, list[WithdrawnApproval]]
    """What was taken back, the oldest approval first; a job without any is not in it."""

    def given_to(self, quote: Quote, party: Party) -> list[Approval]:
        """What a party approved of a quote, oldest first."""
        return [
            approval
            for approval in self.given.get(quote.job_id, ())
            if approval.quote_id == quote.id and approval.party == party
        ]


def read_approvals(session: Session, job_ids: Collection[int]) -> Approvals:
    """What was quoted for these jobs and approved of it; a handful of statements however many jobs."""
    quotes = quotes_of(session, job_ids)
    approvals, groups, withdrawn = _with_groups(session, job_ids)
    given = {job_id: _newest_by_quote(rows, Party.CUSTOMER) for job_id, rows in approvals.items()}
    standing = {job_id: _standing(quotes.get(job_id, []), given.get(job_id, {})) for job_id in job_ids}
    priced = priced_quotes(session, (quote for rows in standing.values() for quote in rows))
    readings = _readings(
        session, (approval for rows in approvals.values() for approval in rows if approval.party == Party.PAYER)
    )
    found = {
        job_id: [
            _agreed(quote, given[job_id][quote.id], groups, priced[quote.id], approvals[job_id], readings)
            for quote in rows
        ]
        for job_id, rows in standing.items()
    }
    return Approvals(quotes, approvals, found, groups, withdrawn)


def _with_groups(
    session: Session, job_ids: Collection[int]
) -> tuple[dict[int, list[Approval]], dict[int, dict[int, bool]], dict[int, list[WithdrawnApproval]]]:
    """Every approval of these jobs that was not withdrawn, oldest first, by job id; by its own id whether it took each
    group; and by job id those that were withdrawn."""
    rows = session.execute(
        select(Approval, ApprovalGroup.group_id, ApprovalGroup.is_taken, ApprovalWithdrawal)
        .outerjoin(ApprovalGroup, ApprovalGroup.approval_id == Approval.id)
        .outerjoin(ApprovalWithdrawal, ApprovalWithdrawal.approval_id == Approval.id)
        .where(Approval.job_id.in_(list(job_ids)))
        .order_by(Approval.id)
    )
    found: dict[int, list[Approval]] = {}
    groups: dict[int, dict[int, bool]] = {}
    withdrawn: dict[int, WithdrawnApproval] = {}
    for approval, group_id, is_taken, withdrawal in rows:
        if withdrawal is not None:
            withdrawn[approval.id] = WithdrawnApproval(approval, withdrawal)
            continue
        if approval.id not in groups:
            found.setdefault(approval.job_id, []).append(approval)
            groups[approval.id] = {}
        if group_id is not None:
            groups[approval.id][group_id] = is_taken
    return found, groups, _by_job(withdrawn.values())


def _by_job(rows: Iterable[WithdrawnApproval]) -> dict[int, list[WithdrawnApproval]]:
    found: dict[int, list[WithdrawnApproval]] = {}
    for row in rows:
        found.setdefault(row.approval.job_id, []).append(row)
    return found


def _readings(session: Session, approvals: Iterable[Approval]) -> dict[int, ApprovalReading]:
    """By approval kept without three figures, the newest word on how it is read."""
    unread = [approval.id for approval in approvals if approval.pays_minor is None]
    if not unread:
        return {}
    asked = select(ApprovalReading).where(ApprovalReading.approval_id.in_(unread))
    return {row.approval_id: row for row in session.scalars(asked.order_by(ApprovalReading.id))}


def _newest_by_quote(rows: Iterable[Approval], party: str) -> dict[int, Approval]:
    return {row.quote_id: row for row in rows if row.party == party}


def _standing(quotes: Iterable[Quote], rows: dict[int, Approval]) -> list[Quote]:
    """Which approval stands: the latest given to a main quote takes the place of earlier ones; extras stand beside it.
    One that was withdrawn is not among `rows`, so that the newest one not withdrawn holds.

    The one rule of the house; whoever asks what is approved calls `agreed_quotes_of`.
    """
    agreed = [quote for quote in quotes if quote.id in rows]
    main = max((quote for quote in agreed if is_main(quote)), key=lambda quote: rows[quote.id].id, default=None)
    extras = [quote for quote in reversed(agreed) if not is_main(quote)]
    return ([main] if main else []) + extras


def _agreed(
    quote: Quote,
    approval: Approval,
    marks: Mapping[int, Mapping[int, bool]],
    priced: PricedQuote,
    approvals: Iterable[Approval],
    readings: Mapping[int, ApprovalReading],
) -> AgreedQuote:
    is_taken = marks[approval.id]
    taken = tuple(group for group in quote.groups if is_taken.get(group.id))
    left = tuple(group for group in quote.groups if not is_taken.get(group.id))
    own = tuple(row for row in approvals if row.quote_id == quote.id)
    return AgreedQuote(
        quote,
        approval,
        taken,
        left,
        priced.sum(keys_of(group.id for group in taken)),
        priced,
        own,
        {row.id: readings[row.id] for row in own if row.id in readings},
    )


def agreed_sums_of(session: Session, job_ids: Collection[int]) -> dict[int, AgreedSum]:
    """The same for several jobs, by job id."""
    return {job_id: sum_agreed(rows) for job_id, rows in agreed_quotes_of(session, job_ids).items()}


def sum_agreed(rows: Sequence[AgreedQuote]) -> AgreedSum:
    """The same of one job's approved quotes."""
    return AgreedSum(
        net_minor=sum(row.sum.taken.net_minor for row in rows),
        tax_minor=sum(row.sum.taken.tax_minor for row in rows),
        gross_minor=sum(row.sum.taken.gross_minor for row in rows),
        most_minor=sum(row.gross_minor for row in rows),
    )


def jobs_with_payers(session: Session, job_ids: Collection[int]) -> set[int]:
    """Jobs that somebody besides the customer pays for: a payer was named, or the job is an insurer's."""
    other = Job.customer_id.is_(None) | (JobPayer.whose_id != whole_of(Job.customer_id))
    is_named = exists().where(JobPayer.job_id == Job.id, other)
    asked = select(Job.id).where(Job.id.in_(list(job_ids)), is_named | (Job.payer_kind == CustomerKind.INSURER))
    return set(session.scalars(asked))


def has_other_payer(session: Session, job_id: int) -> bool:
    """Whether a payer's approval is wanted besides the customer's."""
    return bool(jobs_with_payers(session, [job_id]))


def waits_for_approval(session: Session, opened: OpenQuotes | None = None) -> list[OpenApproval]:
    """Quotes and extras of open jobs for which customer or payer was asked and has not answered, longest first.

    `opened` are the open quotes where they are read already.
    """
    opened = opened or read_open_quotes(session)
    waiting = [
        OpenApproval(quote, job, party, since, opened.priced[quote.id].sum().taken.gross_minor)
        for quote, job in opened.rows
        if job.purpose == JobPurpose.PAID and quote.given_at is not None
        for party, since in (
            (Party.CUSTOMER, quote.asked_customer_at),
            (Party.PAYER, None if quote.payer_declined_at else quote.asked_payer_at),
        )
        if since is not None and (quote.id, party) not in opened.approved
    ]
    return sorted(waiting, key=lambda row: (row.since, row.quote.id))
