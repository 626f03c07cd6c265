"""The receipt of money that was taken or given back is written, at the end of the act that took it."""

from shopbook.models.money import Payment, Receipt
from shopbook.queries.money.receipts import receipt_now
from shopbook.services.act import Act
from shopbook.trade.billing.number_series import Series


def write_receipt(act: Act, payment: Payment) -> None:
    """What the receipt says, once the money is set against what it pays; a difference that is no money has none."""
    if payment.series != Series.RECEIPT or payment.job_id is None:
        return
    # What the money was set against is written before the receipt says it: it reads the book, not the act.
    act.session.flush()
    content = receipt_now(act.session, payment)
    day = act.day
    act.session.add(Receipt(payment_id=payment.id, at=act.moment, on=day, content=content))
    act.session.flush()
