"""A payment is taken back: why, which means that can happen to, and how it is called.

Worked example: 826.16 invoiced on November 4, due the same day, and paid by cheque on November 5 (receipt 1). The
bank returns the cheque on November 20: a line of −826.16 (receipt 2) names receipt 1, and the invoice is open again for
826.16, due since November 4. Receipt 1 says what it said. Of a payment refunded in part only the rest is taken back.

A refund entered wrong is the same the other way round: 200.00 typed for 20.00 (receipt 2, −200.00) is taken back by a
line "entered wrong" of +200.00 (receipt 3) that names receipt 2, and −20.00 (receipt 4) is entered with it.
"""

from enum import StrEnum

from shopbook.trade.billing.pay_means import PayMeans


class Reversal(StrEnum):
    """Why a payment is taken back; it is also the kind of the line that does so."""

    RETURNED_CHEQUE = "returned_cheque"
    CHARGEBACK = "chargeback"
    TYPED_WRONG = "typed_wrong"
    OTHER_JOB = "other_job"


REVERSAL_WORDS: dict[str, str] = {
    Reversal.RETURNED_CHEQUE: "Returned {cheque}",
    Reversal.CHARGEBACK: "Chargeback",
    Reversal.TYPED_WRONG: "Entered wrong",
    Reversal.OTHER_JOB: "Belongs to another job",
}
"""What can be chosen when a payment is taken back."""

ENTERED_AGAIN = frozenset({Reversal.TYPED_WRONG, Reversal.OTHER_JOB})
"""A mistake of the shop, not of the bank: what is right may be typed with it."""


def reversals_of(means: PayMeans) -> tuple[Reversal, ...]:
    """What can happen to money that came by these means, the most usual first."""
    mistakes = (Reversal.TYPED_WRONG, Reversal.OTHER_JOB)
    if means is PayMeans.CHEQUE:
        return (Reversal.RETURNED_CHEQUE, *mistakes)
    if means in (PayMeans.CARD, PayMeans.TRANSFER):
        return (*mistakes, Reversal.CHARGEBACK)
    return mistakes
