"""Whose sum: what each payer pays of a job's approved work, what it approved, and what of it is at the shop's risk."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from sqlalchemy.orm import Session

from shopbook.models.customers import Customer
from shopbook.models.jobs import Job
from shopbook.models.money import Approval, Quote
from shopbook.queries.money.approvals import AgreedQuote, agreed_quotes, agreed_quotes_of, jobs_with_payers
from shopbook.queries.money.issued import Issued, issued_of
from shopbook.queries.money.payers import NamedPayer, NamedShare, payers_by_job, payers_of, share_bill
from shopbook.queries.money.quotes import bill_of_quote, is_main
from shopbook.trade.agreeing.approvals import add_bills, at_risk, read_approval
from shopbook.trade.agreeing.words import Party
from shopbook.trade.billing import Bill
from shopbook.trade.billing.payers import PayRule, share_further
from shopbook.trade.errors import RuleBroken

INSURER_WITHOUT_NAME = NamedPayer(None, PayRule.REST)
"""Who pays for an insurer's job before anybody named it: its share is the whole."""


EMPTY: Mapping[int | None, int] = {}


@dataclass(frozen=True, slots=True)
class NamedSum:
    """A sum with the payer whose it is, with tax."""

    payer: NamedPayer
    amount_minor: int


def have_others(payers: Sequence[NamedPayer]) -> bool:
    """Whether anybody but the customer pays: only then is approving work not yet agreeing to pay."""
    return any(not payer.is_customer for payer in payers)


def payers_who_agreed(
    session: Session, payers: Sequence[NamedPayer], quotes: Sequence[AgreedQuote]
) -> list[NamedPayer]:
    """The payers of a job, the customer with the lines of extras that it agreed to pay itself beside other payers."""
    paid = [row for row in quotes if row.is_paid_by_customer]
    if not paid or not have_others(payers):
        return list(payers)
    keys = frozenset(line.key for line in approved_bill(paid).lines)
    if any(payer.is_customer for payer in payers):
        return [_with_lines(payer, keys) for payer in payers]
    job = session.get_one(Job, paid[-1].quote.job_id)
    who = session.get(Customer, job.whose_id or 0)
    return [NamedPayer(who, PayRule.LINES, line_keys=keys, is_customer=True), *payers]


def _with_lines(payer: NamedPayer, keys: frozenset[int]) -> NamedPayer:
    return replace(payer, line_keys=keys) if payer.is_customer else payer


def find_shares(payers: Sequence[NamedPayer], bill: Bill) -> dict[str, int]:
    """The share of each payer by its key; empty where the rules ask for more than the bill comes to."""
    try:
        return {row.payer.key: row.gross_minor for row in share_bill(payers, bill)}
    except RuleBroken:
        return {}


def approved_bill(quotes: Sequence[AgreedQuote]) -> Bill:
    """The approved work as it was approved, each quote at the tax of its own day."""
    return add_bills(row.sum.taken for row in quotes)


@dataclass(frozen=True, slots=True)
class Reading:
    """One payer's newest approval of one quote, and what it says that the payer pays.

    `is_open` is set for one kept without three figures that nobody has read: then `as_share_minor` and
    `as_whole_minor` are what it pays in either reading.
    """

    payer: NamedPayer
    approval: Approval
    pays_minor: int
    as_share_minor: int
    as_whole_minor: int
    is_open: bool


def readings_of(payers: Sequence[NamedPayer], quotes: Sequence[AgreedQuote]) -> list[Reading]:
    """What every payer but the customer approved, quote by quote; approvals of an extra are for that extra alone."""
    found: list[Reading] = []
    before: Mapping[str, int] = {}
    others = [payer for payer in payers if not payer.is_customer]
    for place, row in enumerate(quotes, 1):
        after = find_shares(payers, approved_bill(quotes[:place]))
        own = {key: share - before.get(key, 0) for key, share in after.items()}
        for payer in others:
            given = [approval for approval in row.approvals if _is_by(approval, payer, is_alone=len(others) == 1)]
            if given:
                found.append(_read(payer, row, given[-1], own))
        before = after
    return found


def _is_by(approval: Approval, payer: NamedPayer, *, is_alone: bool) -> bool:
    """Whether a payer gave that approval: by its name; one without a name is the only payer's."""
    if approval.party != Party.PAYER:
        return False
    return payer.customer is None or approval.whose_id == payer.customer_id or (approval.whose_id is None and is_alone)


def _read(payer: NamedPayer, row: AgreedQuote, approval: Approval, shares: Mapping[str, int]) -> Reading:
    amount, share = approval.amount_minor or 0, shares.get(payer.key, approval.amount_minor or 0)
    others = sum(shares.values()) - shares.get(payer.key, 0)
    whole = max(0, amount - others)
    chosen = row.readings.get(approval.id)
    if approval.pays_minor is not None or chosen is not None:
        pays = approval.pays_minor if approval.pays_minor is not None else chosen.pays_minor if chosen else 0
        return Reading(payer, approval, pays, amount, whole, is_open=False)
    pays = read_approval(amount, share, others)
    return Reading(payer, approval, pays, amount, whole, is_open=amount not in {share, whole})


def approved_by(
    payers: Sequence[NamedPayer], quotes: Sequence[AgreedQuote], on_invoices: Mapping[int | None, int] = EMPTY
) -> dict[str, int]:
    """What every payer but the customer approved to pay of the job, by its key; zero where it has not answered.

    `on_invoices`, by payer, is what was approved of its invoices themselves.
    """
    found = {payer.key: on_invoices.get(payer.customer_id, 0) for payer in payers if not payer.is_customer}
    for reading in readings_of(payers, quotes):
        found[reading.payer.key] += reading.pays_minor
    return found


def risk_of(
    payers: Sequence[NamedPayer], quotes: Sequence[AgreedQuote], billed: Mapping[int | None, int]
) -> tuple[NamedSum, ...]:
    """What of one job is at the shop's risk, with tax, payer by payer; `billed` stands on invoices, by payer."""
    bill = approved_bill(quotes)
    if not bill.lines:
        return ()
    others = [payer for payer in payers if not payer.is_customer]
    shares = find_shares(payers, bill) or {others[-1].key: bill.gross_minor}
    by_key = {payer.key: billed.get(payer.customer_id, 0) for payer in others}
    if others == [INSURER_WITHOUT_NAME]:
        by_key = {INSURER_WITHOUT_NAME.key: sum(billed.values())}
    found = at_risk({payer.key: shares.get(payer.key, 0) for payer in others}, approved_by(payers, quotes), by_key)
    return tuple(NamedSum(payer, found[payer.key]) for payer in others if payer.key in found)


def list_risks(session: Session, job_ids: Collection[int]) -> dict[int, tuple[NamedSum, ...]]:
    """What payers other than the customer bear and have not approved, while it is not invoiced; jobs without a risk
    are left out."""
    wanted = jobs_with_payers(session, job_ids)
    if not wanted:
        return {}
    return risks_among(
        session, wanted, payers_by_job(session, wanted), agreed_quotes_of(session, wanted), issued_of(session, wanted)
    )


def risks_among(
    session: Session,
    wanted: Iterable[int],
    payers: Mapping[int, Sequence[NamedPayer]],
    quotes: Mapping[int, Sequence[AgreedQuote]],
    issued: Mapping[int, Issued],
) -> dict[int, tuple[NamedSum, ...]]:
    """The same of jobs that somebody else pays for too, of what is read already by job id; no statement."""
    found = {}
    for job_id in wanted:
        own = payers_who_agreed(session, payers[job_id], quotes[job_id])
        paying = own if have_others(own) else [INSURER_WITHOUT_NAME]
        if rows := risk_of(paying, quotes[job_id], issued[job_id].billed):
            found[job_id] = rows
    return found


def risks_of(session: Session, job_ids: Collection[int]) -> dict[int, int]:
    """The sums of that by job id, with tax."""
    return {job_id: sum(row.amount_minor for row in rows) for job_id, rows in list_risks(session, job_ids).items()}


def shares_of_quote(
    session: Session, job: Job, quote: Quote, taken_ids: Collection[int] | None = None
) -> list[NamedShare]:
    """Who pays what of a quote's groups that are taken (None: of all).

    Of an extra it is what comes on top of what is approved without it: an excess is taken off once. RuleBroken where
    the rules ask for more than it comes to.
    """
    agreed = [] if is_main(quote) else agreed_quotes(session, job.id)
    return shares_among(session, payers_of(session, job), agreed, quote, taken_ids)


def shares_among(
    session: Session,
    payers: Sequence[NamedPayer],
    agreed: Sequence[AgreedQuote],
    quote: Quote,
    taken_ids: Collection[int] | None = None,
) -> list[NamedShare]:
    """The same of a job whose payers and approved quotes are read already."""
    quotes = [] if is_main(quote) else [row for row in agreed if row.quote.id != quote.id]
    return share_on_top(session, payers, quotes, bill_of_quote(session, quote, taken_ids))


def share_on_top(
    session: Session, payers: Sequence[NamedPayer], quotes: Sequence[AgreedQuote], bill: Bill
) -> list[NamedShare]:
    """Who pays what of a bill that comes on top of approved quotes. RuleBroken as `who_pays`."""
    own = payers_who_agreed(session, payers, quotes)
    if not quotes:
        return share_bill(own, bill)
    before = share_bill(own, approved_bill(quotes))
    whole = share_bill(own, add_bills([approved_bill(quotes), bill]))
    billed = [row.gross_minor for row in before]
    shares = share_further([row.share for row in whole], [row.share for row in before], billed, bill.gross_minor)
    return [NamedShare(row.payer, share) for row, share in zip(whole, shares, strict=True)]
