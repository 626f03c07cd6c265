"""The closings of a month, version by version, and whether it can be reopened."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.money import MonthClose, MonthReopening, TaxReturn
from shopbook.models.seal.chain import last_link
from shopbook.queries.shop.days import find_closed_through
from shopbook.trade.errors import NotFound
from shopbook.trade.measures.days import month_bounds
from shopbook.trade.sealing import KeptSeal


@dataclass(frozen=True, slots=True)
class Closing:
    """One closing of a month, and the line that reopened it where one did."""

    close: MonthClose
    reopening: MonthReopening | None

    @property
    def holds_words_only(self) -> bool:
        """Whether it is from before closings kept their whole numbers."""
        return not self.close.numbers


@dataclass(frozen=True, slots=True)
class MonthState:
    """How a month stands: its closings in order, until when the book is closed, and when its return was filed."""

    closings: Sequence[Closing]
    is_closed: bool
    is_newest: bool
    """Whether it is the newest closed month."""
    filed_on: date | None

    @property
    def standing(self) -> Closing | None:
        """The closing that holds; None for a month that is open, or closed with a later one."""
        last = self.closings[-1] if self.closings else None
        return last if last is not None and last.reopening is None else None

    @property
    def can_be_reopened(self) -> bool:
        """Whether it is the newest closed month and its return was not filed."""
        return self.standing is not None and self.is_newest and self.filed_on is None


def month_state(session: Session, month: str) -> MonthState:
    """How a month ("2026-10") stands; three statements."""
    asked = (
        select(MonthClose, MonthReopening)
        .outerjoin(MonthReopening, MonthReopening.close_id == MonthClose.id)
        .where(MonthClose.month == month)
    )
    closings = [Closing(close, reopened) for close, reopened in session.execute(asked.order_by(MonthClose.version))]
    through, last = find_closed_through(session), month_bounds(month)[1]
    filed_on = session.scalar(select(TaxReturn.on).where(TaxReturn.month == month))
    is_closed = through is not None and last <= through
    return MonthState(closings, is_closed, is_closed and through == last, filed_on)


def get_closing(session: Session, month: str, version: int) -> MonthClose:
    """One closing; NotFound when there is none."""
    asked = select(MonthClose).where(MonthClose.month == month, MonthClose.version == version)
    found = session.scalar(asked)
    if found is None:
        raise NotFound("There is no such closing in the book.")
    return found


def find_standing_closing(session: Session, month: str) -> MonthClose | None:
    """The closing of a month that was not reopened; None while it is open. One statement."""
    return next(iter(list_standing_closings(session, [month])), None)


def list_standing_closings(session: Session, months: Collection[str]) -> Sequence[MonthClose]:
    """The closings of these months that were not reopened, in their order; one statement."""
    asked = (
        select(MonthClose)
        .outerjoin(MonthReopening, MonthReopening.close_id == MonthClose.id)
        .where(MonthClose.month.in_(months), MonthReopening.id.is_(None))
        .order_by(MonthClose.month, MonthClose.version)
    )
    return session.scalars(asked).all()


def last_closing(session: Session, month: str) -> int:
    """The version of a month's newest closing; zero before the first."""
    return session.scalar(select(func.max(MonthClose.version)).where(MonthClose.month == month)) or 0


def newest_link(session: Session) -> KeptSeal | None:
    """The newest link of the seal, for a paper that leaves the book; None before there is one."""
    return last_link(session.connection())
