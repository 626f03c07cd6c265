"""The series in which the shop's papers are numbered, each without gaps and never restarted."""

from enum import StrEnum


class Series(StrEnum):
    """One row of numbers; the value is what the counter and the papers carry."""

    JOB = "job"
    QUOTE = "quote"
    INVOICE = "invoice"
    CREDIT = "credit"
    RECEIPT = "receipt"
    ORDER = "order"


SERIES_WORDS = {
    Series.JOB: "Jobs",
    Series.QUOTE: "Estimates",
    Series.INVOICE: "Invoices",
    Series.CREDIT: "Credit notes",
    Series.RECEIPT: "Receipts",
    Series.ORDER: "Orders to suppliers",
}
