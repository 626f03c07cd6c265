"""Papers that expire: all of them with the days they have left, and those that are due."""

from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.shop import DatedPaper
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.air.waste import PaperDue, PaperKind, PaperToRenew, list_due
from shopbook.trade.errors import NotFound
from shopbook.trade.settings import SettingName

SOON_DAYS = 30
"""A paper that expires within this many days is shown on Today."""


def get_dated_paper(session: Session, paper_id: int) -> DatedPaper:
    """One paper that is still kept; NotFound when there is none."""
    found = session.get(DatedPaper, paper_id)
    if found is None or found.ended_at is not None:
        raise NotFound("That certificate or check is not in the book.")
    return found


def list_dated_papers(session: Session, today: date) -> list[PaperDue]:
    """Every paper that is kept, with the days it has left, the most pressing first."""
    rows = session.scalars(select(DatedPaper).where(DatedPaper.ended_at.is_(None)).order_by(DatedPaper.id))
    papers = [PaperToRenew(PaperKind(row.kind), row.whose, row.last_on, row.months, row.id) for row in rows]
    return list(list_due(papers, today))


def list_papers_due(shop: ShopOn) -> list[PaperDue]:
    """Papers that have expired or will within a month; none where the air and waste record is off."""
    if not shop.settings[SettingName.SHOWS_AIR]:
        return []
    return [due for due in list_dated_papers(shop.session, shop.day) if due.days_left <= SOON_DAYS]
