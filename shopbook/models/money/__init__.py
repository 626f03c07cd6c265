"""Quotes, approvals, who pays, issued invoices, money taken, and closed months."""

from shopbook.models.money.agreements import Agreement, AgreementGroup, ApprovalReading, JobPayer
from shopbook.models.money.close import MonthClose
from shopbook.models.money.invoices import Invoice, InvoiceLine, InvoicePayer, InvoiceTax, LineMatch
from shopbook.models.money.payments import Allocation, Payment, Receipt
from shopbook.models.money.quotes import GivenQuote, Quote, QuoteGroup, QuoteLine

__all__ = [
    "Agreement",
    "AgreementGroup",
    "Allocation",
    "ApprovalReading",
    "GivenQuote",
    "Invoice",
    "InvoiceLine",
    "InvoicePayer",
    "InvoiceTax",
    "JobPayer",
    "LineMatch",
    "MonthClose",
    "Payment",
    "Quote",
    "QuoteGroup",
    "QuoteLine",
    "Receipt",
]
