"""The flat tables of what is billed and paid."""

from shopbook.documents.accountant.columns import (
    CUSTOMER,
    JOB,
    CellKind,
    FlatColumn,
    FlatTable,
    day,
    money,
    text,
    whole,
)

INVOICE = whole("invoice_id", "key of the invoice or credit note, in invoices")

INVOICES = FlatTable(
    "invoices",
    "Invoices and credit notes",
    "issued from the first to the last day; a credit note’s amounts are negative",
    (
        INVOICE,
        text("series", "series that its number belongs to"),
        whole("year", "year of the series; 0 where numbers run on"),
        whole("number", "its number"),
        text("kind", "invoice, deposit, credit or fee"),
        *JOB,
        *CUSTOMER,
        day("issued_on", "day of issue"),
        day("supply_on", "day of supply that its tax counts on"),
        day("due_on", "day by which it is to be paid"),
        whole("credits_invoice_id", "of a credit note: the invoice that it takes back of"),
        whole("corrects_invoice_id", "of a corrected invoice: the one in whose place it stands"),
        money("net", "total before tax"),
        money("tax", "tax in it"),
        money("gross", "total with tax: net + tax"),
        text("reason", "why it was issued, where somebody said so"),
    ),
)

INVOICE_LINES = FlatTable(
    "invoice_lines",
    "Invoice lines",
    "of the papers in invoices; sales by kind are sums of net",
    (
        whole("line_id", "key of the line"),
        INVOICE,
        day("issued_on", "day of issue of its paper"),
        *JOB,
        text("kind", "labour, materials, part, colour, sublet, fee, saving, discount or deposit"),
        text("item", "item that it stands in"),
        text("words", "what it says"),
        money("net", "amount before tax"),
        text("tax_code", "kind of tax that falls on it"),
    ),
)

TAX_ROWS = FlatTable(
    "tax_rows",
    "Tax rows",
    "of the papers in invoices: one for each kind of tax, rounded once",
    (
        whole("tax_row_id", "key of the row"),
        INVOICE,
        day("issued_on", "day of issue of its paper"),
        day("supply_on", "day of supply of its paper"),
        text("code", "kind of tax"),
        text("name", "its name as printed"),
        FlatColumn("rate", CellKind.PERCENT, "rate in percent"),
        money("basis", "amount that it falls on"),
        money("tax", "the tax"),
    ),
)

PAYERS = FlatTable(
    "payers",
    "Payers of invoices",
    "what each payer owes of the papers issued, and what moved to another payer, from the first to the last day",
    (
        whole("share_id", "key of the row"),
        INVOICE,
        day("on", "day of issue of its paper, or on which it moved"),
        *CUSTOMER,
        day("due_on", "day by which this payer pays"),
        money("share", "what this payer owes of it, with tax; below zero on a credit note and where it moved away"),
        text("words", "how the share came about"),
    ),
)

PAYMENTS = FlatTable(
    "payments",
    "Payments",
    "dated from the first to the last day; given back is negative; write-offs and rounding are no money",
    (
        whole("payment_id", "key of the payment"),
        text("series", "receipt for money; other series for lines without a receipt"),
        whole("year", "year of the series; 0 where numbers run on"),
        whole("number", "its number"),
        text("kind", "payment, deposit, held, security, refund, moved, rounding, written_off, recovered or a reversal"),
        day("on", "its day"),
        *CUSTOMER,
        *JOB,
        text("means", "cash, card, transfer, cheque or none"),
        money("amount", "what came in"),
        text("reference", "reference, as typed"),
        whole("reverses_payment_id", "the payment that it takes back of"),
        text("reason", "why, where somebody said so"),
    ),
)

ALLOCATIONS = FlatTable(
    "allocations",
    "Allocations",
    "what of a payment was set against which invoice, from the first to the last day; taken back is negative",
    (
        whole("allocation_id", "key of the row"),
        day("on", "day on which it counts: money set against an invoice as it came counts on the day it came"),
        day("entered_on", "day on which it was entered"),
        whole("payment_id", "key of the payment, in payments"),
        text("payment_kind", "kind of that payment"),
        INVOICE,
        text("invoice_kind", "kind of that invoice"),
        whole("invoice_number", "number of that invoice"),
        *CUSTOMER,
        money("amount", "how much"),
        text("reason", "why somebody moved it"),
    ),
)

DEPOSITS = FlatTable(
    "deposits",
    "Deposits",
    "deposits and securities of these days, and all money still held on the last day",
    (
        whole("payment_id", "key of the payment, in payments"),
        whole("number", "number of its receipt"),
        text("kind", "deposit, held or security; payment where it was paid beyond an invoice"),
        day("on", "day on which it came in"),
        *CUSTOMER,
        *JOB,
        money("amount", "what came in"),
        money("allocated", "what of it was set against invoices by the last day"),
        money("given_back", "what of it went back by the last day"),
        money("held", "what of it was held on the last day: amount - allocated - given_back"),
    ),
)

BAD_DEBTS = FlatTable(
    "bad_debts",
    "Bad debts",
    "debt written off, and recovered, from the first to the last day",
    (
        whole("allocation_id", "key of the row, in allocations"),
        day("on", "its day"),
        text("kind", "written_off; recovered takes a write-off back and is negative"),
        whole("payment_id", "key of the line, in payments"),
        INVOICE,
        whole("invoice_number", "number of that invoice"),
        *JOB,
        *CUSTOMER,
        money("amount", "how much, with tax"),
        money("tax", "the tax in it, in proportion; whether it can be claimed depends on the country"),
        text("reason", "why"),
    ),
)
