"""Quotes, approvals, who pays, issued invoices, money taken, and closed months."""

from shopbook.models.money.approvals import (
    Approval,
    ApprovalGroup,
    ApprovalReading,
    ApprovalWithdrawal,
    ApprovalWork,
    JobPayer,
)
from shopbook.models.money.close import MonthClose, MonthReopening, TaxReturn
from shopbook.models.money.invoices import Invoice, InvoiceApproval, InvoiceLine, InvoicePayer, InvoiceTax, LineMatch
from shopbook.models.money.payments import Allocation, Payment, Receipt
from shopbook.models.money.quotes import GivenQuote, Quote, QuoteGroup, QuoteLine

__all__ = [
    "Allocation",
    "Approval",
    "ApprovalGroup",
    "ApprovalReading",
    "ApprovalWithdrawal",
    "ApprovalWork",
    "GivenQuote",
    "Invoice",
    "InvoiceApproval",
    "InvoiceLine",
    "InvoicePayer",
    "InvoiceTax",
    "JobPayer",
    "LineMatch",
    "MonthClose",
    "MonthReopening",
    "Payment",
    "Quote",
    "QuoteGroup",
    "QuoteLine",
    "Receipt",
    "TaxReturn",
]
