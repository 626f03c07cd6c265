"""The catalogue as it holds on a day: the file that ships with the program, overlaid by the shop's edits."""

import json
from datetime import date
from functools import lru_cache

from sqlalchemy.orm import Session

from shopbook.queries.shop.rates import catalogue_edits_on
from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.catalogue.reading import EditedRow, overlay, own_catalogue


def catalogue_on(session: Session, day: date) -> Catalogue:
    """The shop's catalogue on a day; one statement, and worked out once for the same edits."""
    edits = tuple((edit.kind, edit.code, edit.from_on, edit.body) for edit in catalogue_edits_on(session, day))
    return _overlaid(edits)


@lru_cache(maxsize=16)
def _overlaid(edits: tuple[tuple[str, str, date, str], ...]) -> Catalogue:
    own = own_catalogue()
    if not edits:
        return own
    rows = [EditedRow(kind, code, from_on, json.loads(body) if body else None) for kind, code, from_on, body in edits]
    return overlay(own, rows, max(row.from_on for row in rows))
