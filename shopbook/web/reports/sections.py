"""Where the rows of a month's sections lead, for the pages that show them."""

from collections.abc import Callable

from flask import url_for

from shopbook.documents.month.heads import heads_of

_LEADS_TO: dict[str, Callable[[int], str]] = {
    "job": lambda number: url_for("jobs.show", number=number),
    "invoice": lambda key: url_for("money.invoice", invoice_id=key),
    "payer": lambda key: url_for("money.account", customer_id=key),
    "payment": lambda key: url_for("money.payment", payment_id=key),
}


def row_url(code: str) -> str:
    """Where a row of the month leads: "job_58" to its job, "invoice_12" to that paper; empty for all others."""
    kind, _, key = code.partition("_")
    return _LEADS_TO[kind](int(key)) if kind in _LEADS_TO and key.isdecimal() else ""


TOOLS: dict[str, Callable[..., object]] = {"row_url": row_url, "heads_of": heads_of}
"""What the macros of a section (`macros/month.html`) are handed."""
