"""The shop itself: the book's one row, people, rates and settings by day, places, numbers, log, papers, acts."""

from shopbook.models.shop.acts import ActKey, ActRow, LogLine, NumberCounter
from shopbook.models.shop.book import Book, CatalogueEntry, ClosedDay, DatedPaper, Paper, Place
from shopbook.models.shop.people import (
    Device,
    Person,
    PersonCost,
    PersonRole,
    PersonSkill,
    PersonWeek,
    PinTrial,
    SignIn,
)
from shopbook.models.shop.rates import DatedCost, DatedTaxRate, LabourRate, Setting

__all__ = [
    "ActKey",
    "ActRow",
    "Book",
    "CatalogueEntry",
    "ClosedDay",
    "DatedCost",
    "DatedPaper",
    "DatedTaxRate",
    "Device",
    "LabourRate",
    "LogLine",
    "NumberCounter",
    "Paper",
    "Person",
    "PersonCost",
    "PersonRole",
    "PersonSkill",
    "PersonWeek",
    "PinTrial",
    "Place",
    "Setting",
    "SignIn",
]
