"""By what means money comes in or goes back, and what a line of money is."""

from enum import StrEnum


class PayMeans(StrEnum):
    """How money changed hands; none for a difference that is no money."""

    CASH = "cash"
    CARD = "card"
    TRANSFER = "transfer"
    CHEQUE = "cheque"
    NONE = "none"


MEANS_WORDS: dict[PayMeans, str] = {
    PayMeans.CARD: "Card",
    PayMeans.CASH: "Cash",
    PayMeans.TRANSFER: "{Bank_transfer}",
    PayMeans.CHEQUE: "{Cheque}",
}
"""What can be chosen when money is taken."""

KIND_WORDS: dict[str, str] = {
    "payment": "Payment",
    "deposit": "Deposit, taxed",
    "held": "Deposit held",
    "security": "Security deposit",
    "refund": "Refund",
    "moved": "Moved to another customer",
    "rounding": "Cash rounding",
    "written_off": "Debt written off",
    "recovered": "Bad debt recovered",
    "returned_cheque": "Returned {cheque}",
    "chargeback": "Chargeback",
    "typed_wrong": "Entered wrong",
    "other_job": "Entered for another job",
}

MOVED_ALONG = "Moved to the customer of this job: no money changed hands."
"""The reason of a line that only puts money under another name."""
