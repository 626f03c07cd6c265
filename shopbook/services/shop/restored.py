"""A book that was restored from a backup says so, in its log and in its seal."""

from shopbook.models.seal.hook import note_in_seal
from shopbook.queries.shop.book import find_book
from shopbook.services.act import Act
from shopbook.services.postings import write_log
from shopbook.trade.sealing import RESTORED


def note_restored(act: Act, backup: str) -> None:
    """Leave a link that names the backup: what other backups keep beyond it was given up when this one was restored."""
    words = f"{RESTORED}{backup}"
    note_in_seal(act.session.connection(), words)
    # A book that was never started has no day to date a line on.
    if find_book(act.session) is not None:
        write_log(act, "restore_book", "book", None, words)
