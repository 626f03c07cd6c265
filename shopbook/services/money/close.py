"""A month is closed: its figures are kept as they stood, and nothing is dated into it afterwards."""

from collections.abc import Mapping
from typing import Any

from shopbook.models.money import MonthClose
from shopbook.queries.shop.days import find_closed_through
from shopbook.services.act import Act
from shopbook.services.postings import write_log
from shopbook.trade.errors import Conflict, RuleBroken
from shopbook.trade.measures.days import format_month, month_bounds, month_shifted


def close_month(act: Act, month: str, figures: Mapping[str, Any]) -> MonthClose:
    """Close a month ("2026-10") with its figures.

    Conflict when it is closed already; RuleBroken before its last day is over, or while an earlier month of the book
    is still open after a closed one.
    """
    last = month_bounds(month)[1]
    closed_through = find_closed_through(act.session)
    if closed_through is not None and last <= closed_through:
        raise Conflict(f"{format_month(month)} is closed already.")
    if act.day <= last:
        raise RuleBroken(f"{format_month(month)} is not over yet. Close it once the month has ended.")
    if closed_through is not None and month_bounds(month_shifted(month, -1))[1] > closed_through:
        raise RuleBroken(f"Close {format_month(month_shifted(month, -1))} first.")
    close = MonthClose(
        month=month, through_on=last, figures=dict(figures), at=act.moment, person_id=act.actor.person_id
    )
    act.session.add(close)
    act.session.flush()
    write_log(act, "close_month", "month_close", close.id, f"Closed {format_month(month)}")
    return close
