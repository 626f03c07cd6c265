"""Money of a span of days by means: the sums of the payments ledger, whatever it was for."""

from datetime import date

from sqlalchemy import case, func, select
from sqlalchemy.orm import Session

from shopbook.models.money import Payment
from shopbook.trade.results.paid import MoneyLine, Paid, sum_paid


def get_paid(session: Session, first: date, last: date) -> Paid:
    """What came in and went back from `first` to `last`, both included, on the days of the money; one statement.

    Cash rounding and debt written off are no money and stand on no receipt.
    """
    came = func.sum(case((Payment.amount_minor > 0, Payment.amount_minor), else_=0))
    back = func.sum(case((Payment.amount_minor < 0, Payment.amount_minor), else_=0))
    asked = (
        select(Payment.means, Payment.kind, came, back)
        .where(Payment.on.between(first, last), Payment.series == "receipt")
        .group_by(Payment.means, Payment.kind)
        .order_by(Payment.means, Payment.kind)
    )
    return sum_paid(MoneyLine(means, kind, int(plus), int(less)) for means, kind, plus, less in session.execute(asked))
