"""The flat tables put together from the book: for the page, the files and the command line alike."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from datetime import date

from shopbook.documents.accountant.columns import FlatTable
from shopbook.documents.accountant.tables import COLUMNS, describe_columns, offered_tables
from shopbook.documents.accountant.writing import FlatRow, stream_csv, stream_zip
from shopbook.queries.reports.accountant import papers, payments, people, shelf, work
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.errors import NotFound, RuleBroken

FlatFile = tuple[str, Iterable[bytes]]
"""The name of a file and its bytes as they come."""

_ROWS: Mapping[str, Callable[[ShopOn, date], Iterable[FlatRow]]] = {
    "invoices": lambda shop, first: papers.list_flat_invoices(shop.session, first, shop.day),
    "invoice_lines": lambda shop, first: papers.list_flat_lines(shop.session, first, shop.day),
    "tax_rows": lambda shop, first: papers.list_flat_taxes(shop.session, first, shop.day),
    "payers": lambda shop, first: papers.list_flat_payers(shop.session, first, shop.day),
    "payments": lambda shop, first: payments.list_flat_payments(shop.session, first, shop.day),
    "allocations": lambda shop, first: payments.list_flat_allocations(shop.session, first, shop.day),
    "deposits": lambda shop, first: payments.list_flat_deposits(shop.session, first, shop.day),
    "bad_debts": lambda shop, first: payments.list_flat_bad_debts(shop.session, first, shop.day),
    "jobs": lambda shop, first: work.list_flat_jobs(shop.session, shop.day),
    "clock_shares": lambda shop, first: work.list_flat_clock_shares(shop.session, first, shop.day),
    "hours": people.list_flat_hours,
    "person_costs": lambda shop, first: people.list_flat_person_costs(shop),
    "attendance": people.list_flat_attendance,
    "paid_hours": people.list_flat_paid_hours,
    "fixed_costs": people.list_flat_fixed_costs,
    "movements": lambda shop, first: shelf.list_flat_movements(shop.session, first, shop.day),
    "bought_parts": lambda shop, first: work.list_flat_bought(shop.session, first, shop.day),
    "work_in_progress": lambda shop, first: work.list_flat_work(shop),
    "stock": lambda shop, first: shelf.list_flat_stock(shop.session, shop.day),
}
"""The rows of each table, of the days from one to that of the shop."""


def check_span(first: date, last: date) -> None:
    """RuleBroken where the last day comes before the first."""
    if last < first:
        raise RuleBroken("The last day is before the first. Enter a later day.", "last")


def flat_files(shop: ShopOn, first: date, *, sees_pay: bool) -> Iterator[FlatFile]:
    """Every file that somebody may take along, from a day to the shop's, and the one that describes their columns."""
    tables, places = offered_tables(sees_pay=sees_pay), shop.country.currency_places
    for table in tables:
        yield _file(shop, first, table)
    yield f"{COLUMNS.code}.csv", stream_csv(COLUMNS, describe_columns(tables), places)


def flat_file(shop: ShopOn, first: date, code: str, *, sees_pay: bool) -> FlatFile:
    """One of them by its code; NotFound for one that there is not, or that is not for this person."""
    table = next((one for one in offered_tables(sees_pay=sees_pay) if one.code == code), None)
    if table is None:
        raise NotFound("There is no such table for the accountant.")
    return _file(shop, first, table)


def flat_zip(shop: ShopOn, first: date, *, sees_pay: bool) -> FlatFile:
    """All of them as one zip, named by its days."""
    name = f"accountant-{first.isoformat()}-{shop.day.isoformat()}.zip"
    return name, stream_zip(flat_files(shop, first, sees_pay=sees_pay))


def _file(shop: ShopOn, first: date, table: FlatTable) -> FlatFile:
    rows = _ROWS[table.code](shop, first)
    return f"{table.code}.csv", stream_csv(table, rows, shop.country.currency_places)
