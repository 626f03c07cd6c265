"""The price list as somebody read it, so that a page that is stale is known."""

from zlib import crc32

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.shop import CatalogueEntry
from shopbook.trade.catalogue.entries import EntryKind

_NEWEST = (
    select(CatalogueEntry.id, CatalogueEntry.at)
    .where(CatalogueEntry.kind == EntryKind.PRICE)
    .order_by(CatalogueEntry.id.desc())
    .limit(1)
)


def price_list_revision(session: Session) -> int:
    """A whole number that changes whenever a price is saved or a saving is undone, for whatever day; one statement.

    Of the newest line's key and moment, for after an Undo its key may be given again. Below 2^31, as a form carries it.
    """
    newest = session.execute(_NEWEST).first()
    return crc32(f"{newest.id} {newest.at.isoformat()}".encode()) & 0x7FFFFFFF if newest else 0
