"""Who pays what of a corrected invoice: by the split rule where it made the first shares, else by what changed."""

from collections.abc import Sequence
from datetime import date, datetime

from sqlalchemy.orm import Session

from shopbook.models.customers import Customer
from shopbook.queries.money.passing import Approved
from shopbook.queries.money.payers import NamedShare, due_on, share_bill, usual_days
from shopbook.queries.money.split import keyed
from shopbook.queries.shop.shop_on import shop_at
from shopbook.services.money.correctable import Correctable
from shopbook.services.money.deposits import deposits_by_payer
from shopbook.services.money.issuing import Share
from shopbook.trade.billing import Bill
from shopbook.trade.billing.corrections import share_difference
from shopbook.trade.billing.deposits import FinalBill
from shopbook.trade.errors import RuleBroken


def share_corrected(
    session: Session, now: datetime, today: date, first: Correctable, final: FinalBill, approved: Approved
) -> list[Share]:
    """The share of each payer less its deposits, and by when it is due. RuleBroken where a deposit is more than it.

    The due day stays; a share that grew is due by today's terms where that is later.
    """
    sums = _by_rule(first, final, approved) or _by_difference(first, final)
    if any(share < 0 for share in sums.values()):
        raise RuleBroken(
            "A payer's deposit is more than its new share. Credit the invoice and write it again.", "prices"
        )
    usual = usual_days(shop_at(session, now))
    found = []
    for row in first.rows:
        share, due = sums[row.customer_id], row.due_on
        if share > row.share_minor:
            who = session.get(Customer, row.customer_id) if row.customer_id else None
            due = max(due, due_on(today, who, usual))
        found.append(Share(row.customer_id, share, due, row.words))
    return found


def _by_difference(first: Correctable, final: FinalBill) -> dict[int | None, int]:
    rows = [(row.words, row.share_minor) for row in first.rows]
    whole = sum(share for _, share in rows)
    tax = first.credit.tax_minor
    shares = share_difference(rows, final.gross_minor - whole, final.tax_minor - tax)
    return {row.customer_id: share for row, share in zip(first.rows, shares, strict=True)}


def _by_rule(first: Correctable, final: FinalBill, approved: Approved) -> dict[int | None, int] | None:
    """None where nothing changed, or where the job's rules of today do not make the shares of the first invoice."""
    given = deposits_by_payer(first.deposits)
    before = _shares(approved, first.bill)
    stood = {row.customer_id: row.share_minor for row in first.rows}
    after = _shares(approved, final.bill)
    if before is None or after is None or final.bill.gross_minor == first.bill.gross_minor:
        return None
    known = {row.payer.customer_id: row.gross_minor - given.get(row.payer.customer_id, 0) for row in before}
    if known != stood:
        return None
    return {row.payer.customer_id: row.gross_minor - given.get(row.payer.customer_id, 0) for row in after}


def _shares(approved: Approved, bill: Bill) -> Sequence[NamedShare] | None:
    quoted = [line for row in approved.work.quotes for line in row.sum.taken.lines]
    try:
        return share_bill(approved.payers, keyed(bill, quoted))
    except RuleBroken:
        return None
