"""The seal on a month's paper: the newest link of the book when the month was closed, for whoever keeps the paper."""

from shopbook.documents.month.section import Section, SectionRow
from shopbook.trade.sealing import KeptSeal

_NOTE = "Keep this paper where nobody who can change the book can change it. Later the book must still hold this link."


def seal_section(kept: KeptSeal | None) -> Section:
    """The link's number and its whole digest; a book that was never written to has none."""
    rows = (SectionRow("seal", "Newest link", (str(kept.number),), below=kept.sha256),) if kept else ()
    return Section("seal", "Seal of the book", rows, note=_NOTE if kept else "")
