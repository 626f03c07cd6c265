"""The shop's local day, and the last day of the newest closed month."""

from datetime import date, datetime, timedelta

from sqlalchemy import case, func, select
from sqlalchemy.orm import Session

from shopbook.models.money import MonthClose, MonthReopening
from shopbook.queries.shop.book import get_zone


def day_of(session: Session, moment: datetime) -> date:
    """The shop's local day of a moment."""
    return moment.astimezone(get_zone(session)).date()


def find_closed_through(session: Session) -> date | None:
    """The last day into which nothing may be dated any more; None while no month was ever closed.

    Where every closing was reopened, the day before the first closed month: what lay before it stays closed.
    """
    standing = func.max(case((MonthReopening.id.is_(None), MonthClose.through_on)))
    asked = select(standing, func.min(MonthClose.through_on)).select_from(MonthClose)
    through: date | None
    first: date | None
    through, first = session.execute(asked.outerjoin(MonthReopening, MonthReopening.close_id == MonthClose.id)).one()
    if through is not None or first is None:
        return through
    return first.replace(day=1) - timedelta(days=1)
