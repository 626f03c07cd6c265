"""What a closing keeps of its paper, so that a closed month is shown as it was closed: every sentence and row of it."""

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from shopbook.documents.month.section import Section, SectionRow
from shopbook.documents.month_end import MonthPaper


def kept_paper(paper: MonthPaper) -> dict[str, Any]:
    """The paper as plain values, for the closing's row."""
    return asdict(paper)


def paper_kept(figures: Mapping[str, Any], month: str) -> MonthPaper:
    """The paper of a month ("October 2026") that a closing kept; of one from before whole papers were kept, the sums
    that it kept in words."""
    if "sections" not in figures:
        return _words_only(figures, month)
    sections = tuple(_section(kept) for kept in figures["sections"])
    sentences = tuple(tuple(sentence) for sentence in figures["sentences"])
    lists = {name: tuple(figures[name]) for name in ("faults", "notes")}
    return MonthPaper(**{**figures, "sections": sections, "sentences": sentences, **lists})


def _words_only(figures: Mapping[str, Any], month: str) -> MonthPaper:
    rows = tuple(
        SectionRow(f"kept_{place}", label, (str(said),)) for place, (label, said) in enumerate(figures.items(), 1)
    )
    note = "Only these sums were kept when it was closed. Its PDF has the rest."
    section = Section("kept", "As it was closed", rows, note=note)
    return MonthPaper("", month, "", "", "letter", sentences=(), sections=(section,))


def _section(kept: Mapping[str, Any]) -> Section:
    rows = tuple(_row(row) for row in kept["rows"])
    total = _row(kept["total"]) if kept["total"] else None
    return Section(**{**kept, "rows": rows, "total": total, "heads": tuple(kept["heads"])})


def _row(kept: Mapping[str, Any]) -> SectionRow:
    return SectionRow(**{**kept, "figures": tuple(kept["figures"])})
