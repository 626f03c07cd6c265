"""A paper that is issued with its payment says what was paid and how, and what is still due when."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from sqlalchemy.orm import Session

from shopbook.models.money import Payment
from shopbook.queries.money.words import Wording
from shopbook.queries.shop.rates import setting_on
from shopbook.services.money.issuing import PaperDraft
from shopbook.trade.billing import cash_rounding
from shopbook.trade.billing.pay_means import MEANS_WORDS, PayMeans
from shopbook.trade.settings import SettingName


@dataclass(frozen=True, slots=True)
class PaidAtOnce:
    """Money that comes with the press that issues a paper; without an amount all that its payer is to pay of it."""

    means: str
    amount_minor: int | None = None
    reference: str = ""


def owed_of_draft(draft: PaperDraft, customer_id: int | None) -> int:
    """What a payer is still to pay of a paper about to be issued, with tax: the share less what is paid already."""
    shares = zip(draft.shares, _payers(draft), strict=True)
    return sum(share.share_minor - int(row["paid"]) for share, row in shares if share.customer_id == customer_id)


def rounded_off(session: Session, payment: Payment, owed_minor: int) -> int:
    """What a payment in coins is less (or, below zero, more) than the sum; zero for other means or another gap.

    Of 826.16 in coins of 0.05 it is 0.01 when 826.15 was paid. Only the very gap that the coins make is rounding, for
    any other is money still owed or paid too much.
    """
    step = setting_on(session, SettingName.CASH_ROUNDING_MINOR, payment.on) if payment.means == PayMeans.CASH else 1
    gap = owed_minor - payment.amount_minor
    return gap if step > 1 and -gap == cash_rounding(owed_minor, step) else 0


def with_payment(draft: PaperDraft, payment: Payment, rounded_minor: int, said: Wording) -> PaperDraft:
    """The paper with the payment that comes with it: means, amount, day and receipt, what is rounded off, and the rest.

    Of 826.16 with 700.00 paid by card on November 5 it says "Paid $700.00 by card, November 5, 2026, receipt 1." and
    "Still to pay: $126.16, due November 5, 2026." What is paid beyond the share is credit, and the paper says so.
    """
    rows, left = [], payment.amount_minor + rounded_minor
    notes = [paid_words(payment, said)]
    if rounded_minor:
        notes.append(f"Cash rounding: {said.money(abs(rounded_minor))} {'less' if rounded_minor > 0 else 'more'}.")
    for share, row in zip(draft.shares, _payers(draft), strict=True):
        part = min(left, share.share_minor - int(row["paid"])) if share.customer_id == payment.customer_id else 0
        left, paid = left - part, int(row["paid"]) + part
        rest = share.share_minor - paid
        if part and rest:
            notes.append(f"Still to pay: {said.money(rest)}, due {said.day(share.due_on)}.")
        rows.append({**row, "paid": paid, "words": "" if part and not rest else row["words"]})
    if left > 0:
        notes.append(f"{said.money(left)} overpaid, kept as credit.")
    return replace(draft, frozen={**draft.frozen, "payers": rows, "notes": [*notes, *draft.frozen["notes"]]})


def paid_words(payment: Payment, said: Wording) -> str:
    """How a payment came, for a paper: "Paid $700.00 by card, Nov 5, receipt 12, reference 4711."."""
    means = said.say(MEANS_WORDS.get(PayMeans(payment.means), "")).lower()
    how = f"in {means}" if payment.means == PayMeans.CASH else f"by {means}"
    reference = f", {payment.reference}" if payment.reference else ""
    return (
        f"Paid {said.money(payment.amount_minor)} {how}, {said.day(payment.on)}, receipt {payment.number}{reference}."
    )


def _payers(draft: PaperDraft) -> Sequence[Mapping[str, Any]]:
    rows: Sequence[Mapping[str, Any]] = draft.frozen["payers"]
    return rows
