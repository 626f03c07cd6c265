"""What a bill comes to: lines, kinds of tax, whole-bill discounts, and the credits that take a bill back."""

from shopbook.trade.billing.bill import (
    Bill,
    TaxTotal,
    cash_rounding,
    discount_of,
    due_minor,
    extend_price,
    issued_bill,
    make_bill,
    with_taxes,
)
from shopbook.trade.billing.credits import Credit, credit_amount, credit_lines, credit_rest, issued_credit
from shopbook.trade.billing.falls import NOT_SET, fall_under
from shopbook.trade.billing.lines import (
    GOODS,
    BillLine,
    LineKind,
    TaxKind,
    TaxPart,
    TaxRate,
    parse_rate,
    rate_of,
    rate_words,
)

__all__ = [
    "GOODS",
    "NOT_SET",
    "Bill",
    "BillLine",
    "Credit",
    "LineKind",
    "TaxKind",
    "TaxPart",
    "TaxRate",
    "TaxTotal",
    "cash_rounding",
    "credit_amount",
    "credit_lines",
    "credit_rest",
    "discount_of",
    "due_minor",
    "extend_price",
    "fall_under",
    "issued_bill",
    "issued_credit",
    "make_bill",
    "parse_rate",
    "rate_of",
    "rate_words",
    "with_taxes",
]
