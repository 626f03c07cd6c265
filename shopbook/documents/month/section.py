"""A part of the month as it is printed: the same rows on screen, on paper, in the table and at the command line."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class SectionRow:
    """A label, what is said below it, and its figures as text; `code` names the row in the table, where words change."""

    code: str
    label: str
    figures: tuple[str, ...]
    below: str = ""


@dataclass(frozen=True, slots=True)
class Section:
    """Rows under one title; `total` is their sum where they have one, `note` a sentence below, `about` a word at the head."""

    code: str
    title: str
    rows: tuple[SectionRow, ...]
    total: SectionRow | None = None
    heads: tuple[str, ...] = ()
    note: str = ""
    about: str = ""
