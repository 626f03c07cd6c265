"""What a receipt says: in the words of the book at the moment that the money was taken, and as it was kept then.

A receipt never changes. Whoever is renamed, whatever is set against another invoice later, and wherever the shop moves:
page and file say what they said when the money changed hands. What became of the money since stands beside it.
"""

from collections.abc import Mapping
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.money import Payment, Receipt
from shopbook.queries.customers import find_whole, name_on_papers
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.money.heads import get_head
from shopbook.queries.money.invoices import PAPER_WORDS, numbers_of
from shopbook.queries.money.payments import allocated_by_invoice, get_payment
from shopbook.queries.money.words import Wording, get_wording
from shopbook.trade.billing.pay_means import KIND_WORDS, MEANS_WORDS, PayMeans
from shopbook.trade.billing.reversals import REVERSAL_WORDS

FORM = 1
REST_WORDS = {"security": "Security deposit, returned with the car", "held": "Deposit, held for the invoice"}
NOTES = {"held": "No tax is due on this deposit until the work is finished.", "security": "No tax is due on it."}


def find_receipt(session: Session, payment: Payment) -> Mapping[str, Any] | None:
    """The receipt of a payment as it was kept; None for what has none (a rounding, money of no job).

    Of one that an upgrade reconstructed, what was not known is told by the book as it is now.
    """
    content = session.scalar(select(Receipt.content).where(Receipt.payment_id == payment.id))
    if content is None:
        return None
    kept: dict[str, Any] = dict(content)
    if kept["head"] is None:
        kept["head"] = _head(session, payment)
    if kept["facts"] is None:
        kept["facts"] = _facts(payment, kept["head"]["job"], get_wording(session))
    return kept


def last_receipt_id(session: Session) -> int:
    """The key of the newest receipt; zero before there is one."""
    return session.scalar(select(func.max(Receipt.id))) or 0


def list_receipts_since(session: Session, last_id: int) -> list[tuple[int, Mapping[str, Any]]]:
    """Number and content of each receipt written after one, oldest first."""
    asked = select(Payment.number, Receipt.content).join(Receipt, Receipt.payment_id == Payment.id)
    return [
        (number, content) for number, content in session.execute(asked.where(Receipt.id > last_id).order_by(Receipt.id))
    ]


def receipt_now(session: Session, payment: Payment) -> dict[str, Any]:
    """What the receipt of a payment of a job says now, as plain values; amounts in minor units."""
    said = get_wording(session)
    rows = _against(session, payment, said)
    rest = payment.amount_minor - sum(amount for _, amount in rows)
    if rest:
        rows.append((_rest_words(session, payment, said), rest))
    head = _head(session, payment)
    kind, last = _called(payment)
    return {
        "form": FORM,
        "head": head,
        "facts": _facts(payment, head["job"], said),
        "kind": kind,
        "rows": rows,
        "last": (last, payment.amount_minor),
        "notes": [line for line in (NOTES.get(payment.kind, ""), payment.reason) if line],
    }


def _called(payment: Payment) -> tuple[str, str]:
    """What the paper is called, and the words of its last row."""
    if payment.kind in REVERSAL_WORDS:
        return "Reversal", "Reversed"
    if payment.kind == "moved" and payment.amount_minor < 0:
        return "Money moved", "Moved"
    return ("Refund", "Refunded") if payment.amount_minor < 0 else ("Receipt", "Received")


def _rest_words(session: Session, payment: Payment, said: Wording) -> str:
    if payment.kind in REVERSAL_WORDS:
        taken = get_payment(session, payment.reverses_id or 0)
        return f"{said.say(KIND_WORDS[payment.kind])}: receipt {taken.number} of {said.day(taken.on)}"
    if payment.kind == "moved" and payment.amount_minor < 0:
        return KIND_WORDS["moved"]
    return KIND_WORDS["refund"] if payment.amount_minor < 0 else REST_WORDS.get(payment.kind, "Unused credit")


def _named(kind: str, number: int, said: Wording) -> str:
    """A paper as the receipt names it: an invoice behind the shop's prefix."""
    return f"{PAPER_WORDS[kind]} {number if kind == 'credit' else said.invoice_number(number)}"


def _against(session: Session, payment: Payment, said: Wording) -> list[tuple[str, int]]:
    if payment.kind == "held" or payment.job_id is None:
        return []
    rows = allocated_by_invoice(session, payment.id).items()
    papers = numbers_of(session, [key for (key, _), _ in rows])
    named = {key: _named(kind, number, said) for key, (kind, number, _) in papers.items()}
    if len({job for _, _, job in papers.values()}) > 1:
        named = {key: f"{words}, job {papers[key][2]}" for key, words in named.items()}
    return [(named[key], amount) for (key, _), amount in rows]


def _head(session: Session, payment: Payment) -> dict[str, Any]:
    head = get_head(session, get_job_by_id(session, payment.job_id or 0))
    payer = find_whole(session, payment.customer_id)
    return head | ({"to": name_on_papers(payer), "to_lines": []} if payer else {})


def _facts(payment: Payment, job_number: int, said: Wording) -> list[tuple[str, str]]:
    means = said.say(MEANS_WORDS.get(PayMeans(payment.means), ""))
    how = f"{means}, {payment.reference}" if payment.reference else means
    return [("Date", said.day(payment.on, with_weekday=True)), ("Paid by", how), ("Job", str(job_number))]
