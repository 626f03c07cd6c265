"""What takes something back of what was billed or paid, as the owner reads it: by whom, how much, why."""

from shopbook.trade.billing.pay_means import KIND_WORDS
from shopbook.trade.billing.reversals import Reversal

MOVED = "moved"
REFUND_REVERSED = "refund_reversed"
TAKEN_BACK_WORDS: dict[str, str] = {
    "credit": "Credit note",
    "refund": "Refund",
    REFUND_REVERSED: "Refund reversed, entered wrong",
    "security": "Security deposit returned",
    "written_off": "Debt written off",
    MOVED: "Payment moved",
} | {kind: f"Payment reversed, {KIND_WORDS[kind][:1].lower()}{KIND_WORDS[kind][1:]}" for kind in Reversal}
"""By kind: of a paper, of a line of money, or of money moved between papers. Cash rounding is none of them."""
