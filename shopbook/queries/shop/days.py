"""The shop's local day, and the last day of the newest closed month."""

from datetime import date, datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.money import MonthClose
from shopbook.queries.shop.book import get_zone


def day_of(session: Session, moment: datetime) -> date:
    """The shop's local day of a moment."""
    return moment.astimezone(get_zone(session)).date()


def find_closed_through(session: Session) -> date | None:
    """The last day into which nothing may be dated any more; None while no month is closed."""
    return session.scalar(select(func.max(MonthClose.through_on)))
