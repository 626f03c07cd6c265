"""A month is closed: its figures are kept as they stood, and nothing is dated into it afterwards."""

from datetime import datetime

from sqlalchemy.orm import Session

from shopbook.models.money import MonthClose
from shopbook.queries.shop.days import day_of, find_closed_through
from shopbook.services.postings import write_log
from shopbook.trade.days import format_month, month_bounds, month_shifted
from shopbook.trade.errors import Conflict, RuleBroken
from shopbook.trade.permissions import Actor


def close_month(session: Session, actor: Actor, now: datetime, month: str, figures: str) -> MonthClose:
    """Close a month ("2026-10") with its figures as JSON.

    Conflict when it is closed already; RuleBroken before its last day is over, or while an earlier month of the book
    is still open after a closed one.
    """
    last = month_bounds(month)[1]
    closed_through = find_closed_through(session)
    if closed_through is not None and last <= closed_through:
        raise Conflict(f"{format_month(month)} is closed already.")
    if day_of(session, now) <= last:
        raise RuleBroken(f"{format_month(month)} is not over yet: close it from the first day of the next month on.")
    if closed_through is not None and month_bounds(month_shifted(month, -1))[1] > closed_through:
        raise RuleBroken(f"Close {format_month(month_shifted(month, -1))} first.")
    close = MonthClose(month=month, through_on=last, figures=figures, at=now, person_id=actor.person_id, paper_id=None)
    session.add(close)
    session.flush()
    write_log(session, actor, now, "close_month", "month_close", close.id, f"Closed {format_month(month)}")
    return close
