"""The rows of the book by name, for the types of what a page is handed; nobody at the edge makes or changes one."""

from shopbook.models.customers import Customer, Vehicle
from shopbook.models.floor import ClockEntry, ColourCard
from shopbook.models.jobs import Damage, Job, JobPart, Picture, Stage
from shopbook.models.money import Approval, Invoice, InvoiceLine, MonthClose, Payment, Quote
from shopbook.models.shelf import Material, Supplier
from shopbook.models.shop import DatedTaxRate, LogLine

__all__ = [
    "Approval",
    "ClockEntry",
    "ColourCard",
    "Customer",
    "Damage",
    "DatedTaxRate",
    "Invoice",
    "InvoiceLine",
    "Job",
    "JobPart",
    "LogLine",
    "Material",
    "MonthClose",
    "Payment",
    "Picture",
    "Quote",
    "Stage",
    "Supplier",
    "Vehicle",
]
