"""A book keeps the figures it was started with, and uses our new guesses by a press, from a day."""

from collections.abc import Sequence
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.shop import CatalogueEntry
from shopbook.queries.shop.book import find_book
from shopbook.queries.shop.guesses import ChangedGuess, list_changed_guesses
from shopbook.queries.shop.rates import FROM_THE_FIRST, catalogue_edits_on, catalogue_on
from shopbook.services.act import Act
from shopbook.services.postings import refuse_closed, write_log
from shopbook.trade.catalogue.figures import kept_of
from shopbook.trade.catalogue.reading import EditedRow, overlay, own_catalogue
from shopbook.trade.catalogue.releases import NEWER_BOOK, find_release, own_release, rows_to_keep
from shopbook.trade.errors import Conflict, RuleBroken


def keep_figures(act: Act) -> int:
    """Bring the book to the shipped figures without changing one of its own; answers how many rows were written.

    Each that differs is written as the old one from the book's first day, unless something holds from that day
    already: what the shop set later holds from its own day as before. Conflict for a book that a newer program brought
    further than this one knows. A book that has not been started, or stands there already, stays as it is.
    """
    book = find_book(act.session)
    if book is None or book.catalogue_version == own_release():
        return 0
    before = find_release(book.catalogue_version)
    if before is None:
        raise Conflict(NEWER_BOOK)
    first = select(CatalogueEntry.kind, CatalogueEntry.code).where(CatalogueEntry.from_on <= FROM_THE_FIRST)
    held = {(kind, code) for kind, code in act.session.execute(first)}
    kept = [row for row in rows_to_keep(before, own_catalogue()) if (row.kind, row.code) not in held]
    for row in kept:
        act.session.add(
            CatalogueEntry(kind=row.kind, code=row.code, body=row.body, from_on=FROM_THE_FIRST, at=act.moment)
        )
    book.catalogue_version = own_release()
    act.session.flush()
    write_log(act, "keep_figures", "book", 1, f"Kept {len(kept)} figures that a new version changed")
    return len(kept)


def take_guess(act: Act, kind: str, code: str, from_on: date) -> None:
    """Let our changed guess of one code hold from a day, also where the shop had set its own.

    Conflict where it is no longer another one; RuleBroken as `take_untouched_guesses`.
    """
    wanted = [
        each for each in list_changed_guesses(act.session) if (each.kind, each.code) == (kind, code) and each.ours
    ]
    _take(act, wanted, from_on)


def take_untouched_guesses(act: Act, from_on: date) -> int:
    """Let every changed guess hold from a day that the shop did not replace by its own; answers how many.

    Conflict where none is left; RuleBroken into a closed month, where something holds from a later day already, or
    where a figure needs another that the book does not have.
    """
    return _take(act, [each for each in list_changed_guesses(act.session) if each.is_untouched], from_on)


def _take(act: Act, guesses: Sequence[ChangedGuess], from_on: date) -> int:
    if not guesses:
        raise Conflict("There is nothing left to use: someone else did it meanwhile.")
    refuse_closed(act.session, from_on, field="from_on")
    _refuse_earlier(act.session, guesses, from_on)
    bodies = [(each.kind, each.code, kept_of(each.ours)) for each in guesses if each.ours]
    rows = [EditedRow(kind, code, from_on, body) for kind, code, body in bodies]
    overlay(catalogue_on(act.session, from_on), rows, from_on)
    for kind, code, body in bodies:
        act.session.add(
            CatalogueEntry(
                kind=kind, code=code, body=body, from_on=from_on, at=act.moment, person_id=act.actor.person_id
            )
        )
    act.session.flush()
    told = ", ".join(f"{kind} {code}" for kind, code, _ in bodies)
    words = f"Used {len(bodies)} new guesses from {from_on.isoformat()}: {told}"
    write_log(act, "take_guesses", "catalogue_entry", None, words)
    return len(bodies)


def _refuse_earlier(session: Session, guesses: Sequence[ChangedGuess], from_on: date) -> None:
    """RuleBroken where a later line would override it, so that the press would have no effect."""
    wanted = {(each.kind.value, each.code) for each in guesses}
    later = [edit.from_on for edit in catalogue_edits_on(session, date.max) if (edit.kind, edit.code) in wanted]
    if later and max(later) > from_on:
        raise RuleBroken(f"Enter {max(later).isoformat()} or later. Other figures apply from that day.", "from_on")
