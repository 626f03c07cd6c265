"""All flat tables in the order of the page, and the table that describes their columns."""

from collections.abc import Iterator, Sequence

from shopbook.documents.accountant import money_tables, shelf_tables, work_tables
from shopbook.documents.accountant.columns import FlatTable, text

FLAT_TABLES: tuple[FlatTable, ...] = (
    money_tables.INVOICES,
    money_tables.INVOICE_LINES,
    money_tables.TAX_ROWS,
    money_tables.PAYERS,
    money_tables.PAYMENTS,
    money_tables.ALLOCATIONS,
    money_tables.DEPOSITS,
    money_tables.BAD_DEBTS,
    work_tables.JOBS,
    work_tables.CLOCK_SHARES,
    work_tables.HOURS,
    work_tables.ATTENDANCE,
    work_tables.PERSON_COSTS,
    work_tables.PAID_HOURS,
    work_tables.FIXED_COSTS,
    shelf_tables.MOVEMENTS,
    work_tables.BOUGHT_PARTS,
    shelf_tables.STOCK,
    work_tables.WORK_IN_PROGRESS,
)
"""Every table that there is; who may see which of them is `offered_tables`."""

COLUMNS = FlatTable(
    "columns",
    "Columns",
    "what each column of the other files holds",
    (
        text("file", "name of the file"),
        text("column", "head of the column"),
        text("kind", "how its cells are written"),
        text("about", "what it holds"),
    ),
)


def offered_tables(*, sees_pay: bool) -> list[FlatTable]:
    """What somebody may take along: without sight of pay neither the tables of it nor its columns in others."""
    return [table if sees_pay else table.without_pay() for table in FLAT_TABLES if sees_pay or not table.is_pay]


def describe_columns(tables: Sequence[FlatTable]) -> Iterator[dict[str, object]]:
    """The rows of columns.csv."""
    for table in tables:
        for column in table.columns:
            yield {
                "file": f"{table.code}.csv",
                "column": column.name,
                "kind": column.kind.value,
                "about": column.about,
            }
