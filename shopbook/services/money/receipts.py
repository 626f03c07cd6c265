"""The receipt of money that was taken or given back is written, at the end of the act that took it."""

import json
from datetime import datetime

from sqlalchemy.orm import Session

from shopbook.models.money import Payment, Receipt
from shopbook.queries.money.receipts import receipt_now
from shopbook.queries.shop.days import day_of
from shopbook.trade.number_series import Series


def write_receipt(session: Session, now: datetime, payment: Payment) -> None:
    """What the receipt says, once the money is set against what it pays; a difference that is no money has none."""
    if payment.series != Series.RECEIPT or payment.job_id is None:
        return
    session.flush()
    content = json.dumps(receipt_now(session, payment), ensure_ascii=False)
    day = day_of(session, now)
    session.add(Receipt(payment_id=payment.id, at=now, on=day, content=content, is_reconstructed=False))
    session.flush()
