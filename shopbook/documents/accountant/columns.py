"""What a flat table is: its columns, what each holds, how it is written, and which of them show pay."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum


class CellKind(StrEnum):
    """How a cell is written; the value is what columns.csv calls it."""

    WHOLE = "whole number"
    TEXT = "text"
    DAY = "date"
    MONEY = "amount"
    QUANTITY = "quantity"
    PERCENT = "percent"
    FLAG = "yes or no"


@dataclass(frozen=True, slots=True)
class FlatColumn:
    """One column: its head, how its cells are written, what it holds; `is_pay` tells what a person is paid."""

    name: str
    kind: CellKind
    about: str
    is_pay: bool = False


@dataclass(frozen=True, slots=True)
class FlatTable:
    """One file: `code` is its name without the ending, `title` its name on the page, `about` which rows it holds."""

    code: str
    title: str
    about: str
    columns: Sequence[FlatColumn]
    is_pay: bool = False

    def without_pay(self) -> "FlatTable":
        """The same without the columns that tell what a person is paid."""
        return replace(self, columns=[column for column in self.columns if not column.is_pay])


def whole(name: str, about: str) -> FlatColumn:
    """A key, a number of a paper, a count or minutes."""
    return FlatColumn(name, CellKind.WHOLE, about)


def text(name: str, about: str) -> FlatColumn:
    """Words or a code, as kept."""
    return FlatColumn(name, CellKind.TEXT, about)


def day(name: str, about: str) -> FlatColumn:
    """A day as 2026-11-05; empty where it has not come."""
    return FlatColumn(name, CellKind.DAY, about)


def money(name: str, about: str, *, is_pay: bool = False) -> FlatColumn:
    """An amount in the book's currency, with all its decimals."""
    return FlatColumn(name, CellKind.MONEY, about, is_pay)


def quantity(name: str, about: str) -> FlatColumn:
    """A quantity with three decimals."""
    return FlatColumn(name, CellKind.QUANTITY, about)


JOB = (
    whole("job_id", "key of the job, in jobs"),
    whole("job_number", "number of the job, as it is said in the shop"),
)
CUSTOMER = (
    whole("customer_id", "key of the customer; of merged ones that of the first"),
    text("customer", "name of the customer; empty once erased"),
)
PERSON = (whole("person_id", "key of the person"), text("person", "name of the person"))
