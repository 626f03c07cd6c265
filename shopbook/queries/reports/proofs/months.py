"""Closed months: each closing by month and version with its own paper and sums, and nothing dated into it later."""

import re
from collections import defaultdict
from collections.abc import Iterator
from datetime import date
from typing import Any

from sqlalchemy import Text, func, select, type_coerce
from sqlalchemy.orm import InstrumentedAttribute, Session

from shopbook.models.floor import ClockEntry
from shopbook.models.money import Allocation, Invoice, MonthClose, MonthReopening, Payment
from shopbook.models.shelf import Movement
from shopbook.models.shop import Paper
from shopbook.queries.reports.proofs.faults import Claim, Fault, fault_of, read_json
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.days import month_bounds

_Column = InstrumentedAttribute[Any]
_DATED: tuple[tuple[type[Any], _Column, _Column], ...] = (
    (Movement, Movement.on, Movement.at),
    (ClockEntry, ClockEntry.on, ClockEntry.at),
    (Payment, Payment.on, Payment.at),
    (Allocation, Allocation.on, Allocation.at),
    (Invoice, Invoice.issued_on, Invoice.issued_at),
)
"""Ledgers whose lines may not be dated into a closed month, each with its day and its moment."""


def _closings_have_their_paper(session: Session) -> Iterator[Fault | None]:
    asked = select(*_CLOSINGS, MonthClose.sha256, Paper.sha256.label("kept_sha256")).outerjoin(
        Paper, (Paper.subject == "month_close") & (Paper.subject_id == MonthClose.id)
    )
    for close in session.execute(asked.where(MonthClose.sha256 != "").order_by(MonthClose.id)):
        said = f"{_name(close.month, close.version)} names another paper than the one kept for it"
        yield fault_of("month_close", close.id, said, holds=close.kept_sha256 == close.sha256)


_CLOSINGS = (MonthClose.id, MonthClose.month, MonthClose.version, MonthClose.through_on, MonthClose.at)


def _closings_follow(session: Session) -> Iterator[Fault | None]:
    """The closings of a month count up from 1, end with its last day, and their numbers agree with one another."""
    versions: dict[str, int] = defaultdict(int)
    asked = select(*_CLOSINGS, type_coerce(MonthClose.numbers, Text).label("numbers"))
    for close in session.execute(asked.order_by(MonthClose.month, MonthClose.version)):
        versions[close.month] += 1
        follows = (close.version, close.through_on) == (versions[close.month], _last_day(close.month))
        said = f"{_name(close.month, close.version)} does not follow the one before it, or does not end with its month"
        if follows:
            said = f"{_name(close.month, close.version)}: its numbers do not add up"
        yield fault_of("month_close", close.id, said, holds=follows and _adds_up(read_json(close.numbers)))


def _last_day(month: str) -> date | None:
    try:
        return month_bounds(month)[1]
    except RuleBroken:
        return None


def _adds_up(numbers: Any) -> bool:
    """Net and tax make the gross, the rates the tax; a closing from before numbers were kept has none."""
    if not isinstance(numbers, dict) or not numbers:
        return numbers == {}
    net, tax, gross = (int(numbers[name]) for name in ("net_minor", "tax_minor", "gross_minor"))
    return net + tax == gross and sum(int(minor) for name, minor in numbers.items() if _is_tax(name)) == tax


def _is_tax(name: str) -> bool:
    """Whether a number is what one rate of tax came to (`trade/results/kept_month.py`): "tax_sales_8000_minor"."""
    return re.fullmatch(r"tax_.+_\d+_minor", name) is not None


def _nothing_is_dated_back(session: Session) -> Iterator[Fault | None]:
    """No ledger line lies in a month that was closed by then; of a month closed again the newest closing counts."""
    reopened = select(MonthReopening.close_id)
    standing = select(*_CLOSINGS).where(MonthClose.id.not_in(reopened)).order_by(MonthClose.id)
    for close in session.execute(standing).all():
        for table, on, at in _DATED:
            late = session.scalar(select(func.min(table.id)).where(on <= close.through_on, at > close.at))
            said = f"{table.__tablename__} {late} is dated into {close.month}, which was closed by then"
            yield fault_of(table.__tablename__, late, said, holds=late is None)


def _name(month: str, version: int) -> str:
    return f"Closing {month}, version {version}"


CLAIMS = (
    Claim("closing_papers", "a closing names the paper kept for it", _closings_have_their_paper),
    Claim("closings", "closings follow one another and their numbers add up", _closings_follow),
    Claim("closed_months", "nothing is dated into a month closed before", _nothing_is_dated_back),
)
