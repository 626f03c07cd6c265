"""The list of invoices, filtered by month and state, with what came in on one day."""

from datetime import date, timedelta

from flask import render_template, request, url_for

from shopbook.queries.money.invoice_list import PaperState, earlier_than, list_papers, receipts_on
from shopbook.trade.billing.pay_means import MEANS_WORDS
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.days import format_month, month_bounds, month_of, months_between, parse_month
from shopbook.web.money.blueprint import blueprint
from shopbook.web.money.invoice_view import KINDS
from shopbook.web.parts import as_key, needs, reader, today

PAGE = 50
SEEN = 8
"""Rows that stand open; the others fold under one line."""
MONTHS_BACK = 335
STATE_WORDS = {
    "": "All",
    PaperState.OPEN: "Open",
    PaperState.OVERDUE: "Overdue",
    PaperState.PAID: "Paid",
    PaperState.CREDIT_NOTE: "Credit notes",
}


@blueprint.get("/invoices")
@needs("money", "see")
def invoices() -> str:
    month, state, before = _month(), _state(), request.args.get("before", type=as_key)
    rows = list_papers(reader(), today(), month=month, state=state, before=before, limit=PAGE)
    return render_template(
        "money/invoices.html",
        rows=rows,
        seen=SEEN,
        rest_minor=sum(row.invoice.gross_minor for row in rows[SEEN:]),
        owed_minor=sum(row.owed_minor for row in rows),
        states=_states(state, month),
        months=_months(state),
        month=format_month(month) if month else "",
        span=month_bounds(month or month_of(today())),
        kinds=KINDS,
        before=None if month else earlier_than(reader(), before, PAGE),
        **_receipts(),
    )


def _receipts() -> dict[str, object]:
    """What came in on the day that is shown, by means."""
    day = _day()
    return {"day": day, "receipts": receipts_on(reader(), day), "means": MEANS_WORDS, "today": today()}


def _states(state: str, month: str) -> list[tuple[str, str, bool]]:
    return [(words, _url(state=key, month=month), key == state) for key, words in STATE_WORDS.items()]


def _url(*, state: str, month: str) -> str:
    return url_for("money.invoices", state=state or None, month=month or None)


def _state() -> str:
    asked = request.args.get("state", "")
    return asked if asked in STATE_WORDS else ""


def _month() -> str:
    """The month of the address; none where what stands there is no month."""
    try:
        return parse_month(request.args.get("month", ""))
    except RuleBroken:
        return ""


def _months(state: str) -> list[tuple[str, str]]:
    """The months of the last year, the newest first, each with its address."""
    months = months_between(today() - timedelta(days=MONTHS_BACK), today())
    return [(format_month(month), _url(state=state, month=month)) for month in reversed(months)]


def _day() -> date:
    """The day whose receipts are shown: the one of the address, else today."""
    try:
        return date.fromisoformat(request.args.get("on", ""))
    except ValueError:
        return today()
