"""By what means money comes in or goes back, and what a line of money is."""

from enum import StrEnum


class Means(StrEnum):
    """How money changed hands; none for a difference that is no money."""

    CASH = "cash"
    CARD = "card"
    TRANSFER = "transfer"
    CHEQUE = "cheque"
    NONE = "none"


MEANS_WORDS: dict[Means, str] = {
    Means.CARD: "Card",
    Means.CASH: "Cash",
    Means.TRANSFER: "Bank transfer",
    Means.CHEQUE: "Cheque",
}
"""What can be chosen when money is taken."""

KIND_WORDS: dict[str, str] = {
    "payment": "Payment",
    "deposit": "Deposit, taxed",
    "held": "Deposit held",
    "security": "Security",
    "refund": "Given back",
    "rounding": "Cash rounding",
    "written_off": "Written off",
}
