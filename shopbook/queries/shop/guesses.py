"""Our guesses that changed since the book began: what ships today beside what the book keeps."""

from dataclasses import dataclass
from datetime import date

from sqlalchemy.orm import Session

from shopbook.queries.shop.book import country_code_of, find_book
from shopbook.queries.shop.rates import FROM_THE_FIRST, catalogue_edits_on, catalogue_on
from shopbook.trade.catalogue.entries import Entry, EntryKind
from shopbook.trade.catalogue.figures import figures_of
from shopbook.trade.catalogue.reading import TABLES, own_catalogue
from shopbook.trade.catalogue.releases import find_release, own_release


@dataclass(frozen=True, slots=True)
class ChangedGuess:
    """One code whose shipped figures are other ones than the book's last; `held` None where the book goes without it.

    `ours` is None where the program ships it no more; the book keeps it then, and nothing can be taken.
    """

    kind: EntryKind
    code: str
    held: Entry | None
    ours: Entry | None

    @property
    def is_set(self) -> bool:
        """True where the shop set its own: never taken together with others."""
        return self.held is not None and self.held.is_own

    @property
    def is_untouched(self) -> bool:
        """True where it is still a guess of ours, the one of before."""
        return self.ours is not None and not self.is_set


def list_changed_guesses(session: Session) -> list[ChangedGuess]:
    """What differs, by kind and in the order of the file; compared is what holds last, so that a figure that was
    taken from a later day is none any more. Two statements.
    """
    kept = _figures_kept(session)
    if not kept:
        return []
    last, shipped = catalogue_on(session, date.max), own_catalogue(country_code_of(session))
    found = []
    for kind, table in TABLES.items():
        held, ours = getattr(last, table), getattr(shipped, table)
        codes = [code for code in {**ours, **held} if (kind.value, code) in kept]
        found += [ChangedGuess(kind, code, held.get(code), ours.get(code)) for code in codes]
    return [guess for guess in found if _differs(guess)]


def _figures_kept(session: Session) -> set[tuple[str, str]]:
    """Kind and code of what an upgrade kept as it was."""
    edits = catalogue_edits_on(session, date.max)
    return {(edit.kind, edit.code) for edit in edits if edit.person_id is None and edit.from_on == FROM_THE_FIRST}


def _differs(guess: ChangedGuess) -> bool:
    if guess.held is None or guess.ours is None:
        return True
    return figures_of(guess.held) != figures_of(guess.ours)


def find_other_release(session: Session) -> str | None:
    """The release of shipped figures that the book stands at, where this program ships another one; else None."""
    book = find_book(session)
    return book.catalogue_version if book is not None and book.catalogue_version != own_release() else None


def is_of_newer_program(session: Session) -> bool:
    """Whether the book stands at a release of shipped figures that this program does not know."""
    other = find_other_release(session)
    return other is not None and find_release(other) is None
