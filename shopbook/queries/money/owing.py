"""Who owes how much of one job: of its papers, or before an invoice of the invoice so far; each sum with its payer."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from shopbook.queries.money.invoices import PayerStanding
from shopbook.queries.money.issued import Issued
from shopbook.queries.money.payers import THE_CUSTOMER, NamedShare, due_on
from shopbook.queries.money.split import Split, share_now
from shopbook.trade.billing.payers import PayerShare
from shopbook.trade.errors import RuleBroken


@dataclass(frozen=True, slots=True)
class PayerOwes:
    """What one payer of a job still owes: of its papers, or before an invoice of the invoice so far."""

    customer_id: int | None
    name: str
    owed_minor: int
    due_on: date


def owing_of_papers(rows: Sequence[PayerStanding], names: Mapping[int, str]) -> list[PayerOwes]:
    """One row a payer and day."""
    sums: dict[tuple[int | None, date], int] = {}
    for row in rows:
        key = (row.whose_id, row.due_on)
        sums[key] = sums.get(key, 0) + max(0, row.owed_minor)
    return [
        PayerOwes(customer_id, names.get(customer_id or 0, THE_CUSTOMER), owed, due)
        for (customer_id, due), owed in sums.items()
    ]


def owing_so_far(
    split: Split, issued: Issued, rows: Sequence[PayerStanding], free: Mapping[int | None, int], days: tuple[date, int]
) -> list[PayerOwes]:
    """What each payer owes of the invoice so far, less what it paid; a single payer is paid for by anybody."""
    try:
        shares = share_now(split, issued, split.billable.bill)
    except RuleBroken:
        shares = [NamedShare(split.payers[-1], PayerShare(split.payers[-1].key, split.billable.bill.gross_minor, ()))]
    day, usual = days
    is_alone = len(shares) == 1
    found = []
    for row in shares:
        who = row.payer.customer_id
        paid = sum(one.paid_minor for one in rows if is_alone or one.whose_id == who)
        paid += sum(free.values()) if is_alone else free.get(who, 0)
        due = day if is_alone else due_on(day, row.payer.customer, usual)
        found.append(PayerOwes(who, row.payer.name, max(0, row.gross_minor - paid), due))
    return found
