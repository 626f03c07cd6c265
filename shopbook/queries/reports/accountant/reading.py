"""How rows of flat tables are asked for: some hundred at a time, joined to the names of customers and people."""

from collections.abc import Iterator, Mapping
from typing import Any

from sqlalchemy import Select
from sqlalchemy.orm import Session

from shopbook.models.customers import Customer, whole_of

FlatValues = Mapping[str, Any]  # the values of a row are of as many types as it has columns
AnySelect = Select[*tuple[Any, ...]]  # with as many columns as a table has
ROWS_AT_ONCE = 500


def read_rows(session: Session, asked: AnySelect) -> Iterator[FlatValues]:
    """The rows of one statement by the labels of its columns, never all of them in memory."""
    for row in session.execute(asked, execution_options={"yield_per": ROWS_AT_ONCE}).mappings():
        yield {str(label): value for label, value in row.items()}


def of_customer(asked: AnySelect, customer_id: Any) -> AnySelect:
    """The statement with the customer that a column of ids is by now, and the name."""
    now_id = whole_of(customer_id)
    named = asked.add_columns(now_id.label("customer_id"), Customer.name.label("customer"))
    return named.outerjoin(Customer, Customer.id == now_id)
