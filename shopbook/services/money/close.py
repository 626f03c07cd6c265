"""A month is closed: its figures are kept as they stood, nothing is dated into it; the newest is reopened and closed
again, until its return is filed."""

from collections.abc import Mapping
from typing import Any

from shopbook.models.money import MonthClose, MonthReopening, TaxReturn
from shopbook.models.seal.chain import last_link
from shopbook.queries.money.closings import last_closing, month_state
from shopbook.queries.shop.days import find_closed_through
from shopbook.services.act import Act
from shopbook.services.postings import write_log
from shopbook.trade.errors import Conflict, RuleBroken
from shopbook.trade.measures.days import format_month, month_bounds, month_of, month_shifted


def close_month(
    act: Act,
    month: str,
    figures: Mapping[str, Any],
    *,
    numbers: Mapping[str, int] | None = None,
    sha256: str = "",
) -> MonthClose:
    """Close a month ("2026-10") with its figures in words, its whole numbers by name, and the hash of its paper.

    Closed again after it was reopened, it is the next version; the earlier ones stay. Conflict when it is closed
    already; RuleBroken before its last day is over, or while an earlier month of the book is still open after a closed
    one.
    """
    last = month_bounds(month)[1]
    closed_through = find_closed_through(act.session)
    if closed_through is not None and last <= closed_through:
        raise Conflict(f"{format_month(month)} is closed already.")
    if act.day <= last:
        raise RuleBroken(f"{format_month(month)} is not over yet. Close it once the month has ended.")
    if closed_through is not None and month_bounds(month_shifted(month, -1))[1] > closed_through:
        raise RuleBroken(f"Close {format_month(month_shifted(month, -1))} first.")
    version = last_closing(act.session, month) + 1
    seal = last_link(act.session.connection())
    close = MonthClose(
        month=month,
        version=version,
        through_on=last,
        figures=dict(figures),
        numbers=dict(numbers or {}),
        sha256=sha256,
        seal_number=seal.number if seal else None,
        seal_sha256=seal.sha256 if seal else None,
        at=act.moment,
        person_id=act.actor.person_id,
    )
    act.session.add(close)
    act.session.flush()
    again = f" again, version {version}" if version > 1 else ""
    write_log(act, "close_month", "month_close", close.id, f"Closed {format_month(month)}{again}")
    return close


def reopen_month(act: Act, month: str, *, reason: str) -> MonthReopening:
    """Open the newest closed month again; its closing stays in the book, and closing it again makes the next version.

    Conflict when it is open; RuleBroken without a reason, for a month before the newest closed one, or once its return
    was filed.
    """
    state, name = month_state(act.session, month), format_month(month)
    if not state.is_closed:
        raise Conflict(f"{name} is open.")
    if state.standing is None or not state.is_newest:
        newest = find_closed_through(act.session)
        first = f" Reopen {format_month(month_of(newest))} first." if newest and not state.is_newest else ""
        raise RuleBroken(f"Only the newest closed month can be reopened.{first}")
    if state.filed_on is not None:
        raise RuleBroken(f"The return for {name} was filed: it stays closed. Date the correction into an open month.")
    if not reason.strip():
        raise RuleBroken("Say in a few words why the month is reopened.", "reason")
    close = state.standing.close
    row = MonthReopening(
        close_id=close.id, reason=reason.strip()[:200], at=act.moment, on=act.day, person_id=act.actor.person_id
    )
    act.session.add(row)
    act.session.flush()
    write_log(act, "reopen_month", "month_close", close.id, f"Reopened {name}: {row.reason}")
    return row


def file_return(act: Act, month: str) -> TaxReturn:
    """The return of a closed month was filed: it stays closed. RuleBroken while it is open; Conflict twice."""
    state, name = month_state(act.session, month), format_month(month)
    if state.filed_on is not None:
        raise Conflict(f"The return for {name} was filed already.")
    if not state.is_closed:
        raise RuleBroken(f"Close {name} first, then file its return.")
    row = TaxReturn(month=month, at=act.moment, on=act.day, person_id=act.actor.person_id)
    act.session.add(row)
    act.session.flush()
    write_log(act, "file_return", "tax_return", row.id, f"Return for {name} filed")
    return row
