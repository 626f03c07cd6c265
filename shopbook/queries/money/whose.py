"""Whose sum: what each payer pays of a job's approved work, what it approved, and what of it is at the shop's risk."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

from sqlalchemy.orm import Session

from shopbook.models.customers import Customer
from shopbook.models.money import Agreement
from shopbook.queries.money.agreements import AgreedQuote, agreed_quotes_of, jobs_with_payers
from shopbook.queries.money.issued import issued_of
from shopbook.queries.money.payers import NamedPayer, payers_by_job, share_bill
from shopbook.queries.money.quotes import is_main
from shopbook.trade.agreeing import Party
from shopbook.trade.approvals import add_bills, at_risk, read_approval
from shopbook.trade.billing import Bill
from shopbook.trade.errors import RuleBroken
from shopbook.trade.payers import PayRule

INSURER_WITHOUT_NAME = NamedPayer(None, PayRule.REST)
"""Who pays for an insurer's job before anybody named it: its share is the whole."""


def have_others(payers: Sequence[NamedPayer]) -> bool:
    """Whether anybody but the customer pays: only then is approving work not yet agreeing to pay."""
    return any(not payer.is_customer for payer in payers)


def payers_who_agreed(
    session: Session, payers: Sequence[NamedPayer], quotes: Sequence[AgreedQuote]
) -> list[NamedPayer]:
    """The payers of a job, the customer with the lines of extras that it agreed to pay itself beside other payers."""
    paid = [row for row in quotes if row.is_paid_by_customer and not is_main(row.quote)]
    if not paid or not have_others(payers):
        return list(payers)
    keys = frozenset(line.key for row in paid for line in row.sum.taken.lines)
    if any(payer.is_customer for payer in payers):
        return [replace(payer, line_keys=keys) if payer.is_customer else payer for payer in payers]
    who = session.get(Customer, paid[-1].agreement.customer_id or 0)
    return [NamedPayer(who, PayRule.LINES, line_keys=keys, is_customer=True), *payers]


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
    approval: Agreement
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
            given = [yes for yes in row.approvals if _is_by(yes, payer, is_alone=len(others) == 1)]
            if given:
                found.append(_read(payer, row, given[-1], own))
        before = after
    return found


def _is_by(yes: Agreement, payer: NamedPayer, *, is_alone: bool) -> bool:
    """Whether a payer gave that approval: by its name; one without a name is the only payer's."""
    if yes.party != Party.PAYER:
        return False
    return payer.customer is None or yes.customer_id == payer.customer_id or (yes.customer_id is None and is_alone)


def _read(payer: NamedPayer, row: AgreedQuote, yes: Agreement, shares: Mapping[str, int]) -> Reading:
    amount, share = yes.amount_minor or 0, shares.get(payer.key, yes.amount_minor or 0)
    others = sum(shares.values()) - shares.get(payer.key, 0)
    whole = max(0, amount - others)
    chosen = row.readings.get(yes.id)
    if yes.pays_minor is not None or chosen is not None:
        pays = yes.pays_minor if yes.pays_minor is not None else chosen.pays_minor if chosen else 0
        return Reading(payer, yes, pays, amount, whole, is_open=False)
    pays = read_approval(amount, share, others)
    return Reading(payer, yes, pays, amount, whole, is_open=amount not in {share, whole})


def approved_by(payers: Sequence[NamedPayer], quotes: Sequence[AgreedQuote]) -> dict[str, int]:
    """What every payer but the customer approved to pay of the job, by its key; zero where it has not answered."""
    found = {payer.key: 0 for payer in payers if not payer.is_customer}
    for reading in readings_of(payers, quotes):
        found[reading.payer.key] += reading.pays_minor
    return found


def risk_of(payers: Sequence[NamedPayer], quotes: Sequence[AgreedQuote], billed: Mapping[int | None, int]) -> int:
    """What of one job is at the shop's risk, with tax; `billed` is what stands on invoices, by payer."""
    bill = approved_bill(quotes)
    if not bill.lines:
        return 0
    others = [payer for payer in payers if not payer.is_customer]
    shares = find_shares(payers, bill) or {others[-1].key: bill.gross_minor}
    by_key = {payer.key: billed.get(payer.customer_id, 0) for payer in others}
    if others == [INSURER_WITHOUT_NAME]:
        by_key = {INSURER_WITHOUT_NAME.key: sum(billed.values())}
    return at_risk({payer.key: shares.get(payer.key, 0) for payer in others}, approved_by(payers, quotes), by_key)


def risk_of_job(session: Session, job_id: int) -> int:
    """With tax: what payers other than the customer bear and have not approved, while it is not invoiced."""
    return risks_of(session, [job_id]).get(job_id, 0)


def risks_of(session: Session, job_ids: Collection[int]) -> dict[int, int]:
    """The same for several jobs, by job id; jobs without a risk are left out."""
    wanted = jobs_with_payers(session, job_ids)
    if not wanted:
        return {}
    payers, quotes, issued = (
        payers_by_job(session, wanted),
        agreed_quotes_of(session, wanted),
        issued_of(session, wanted),
    )
    found = {}
    for job_id in wanted:
        own = payers_who_agreed(session, payers[job_id], quotes[job_id])
        paying = own if have_others(own) else [INSURER_WITHOUT_NAME]
        if risk := risk_of(paying, quotes[job_id], issued[job_id].billed):
            found[job_id] = risk
    return found
