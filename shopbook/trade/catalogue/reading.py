"""Reads a catalogue from its text, overlays the shop's stored edits, and turns entries back into plain rows."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from shopbook.trade.catalogue.entries import Catalogue, Entry, EntryKind


@dataclass(frozen=True, slots=True)
class EditedRow:
    """One edit of the shop: the whole entry as a plain dict, holding from a day on; body None takes the entry out."""

    kind: str
    code: str
    from_on: date
    body: Mapping[str, Any] | None


def read_catalogue(text: str) -> Catalogue:
    """The catalogue in `text` (TOML)."""
    raise NotImplementedError


def own_catalogue() -> Catalogue:
    """The catalogue that ships with the program, read once."""
    raise NotImplementedError


def overlay(catalogue: Catalogue, rows: Iterable[EditedRow], on: date) -> Catalogue:
    """`catalogue` with the shop's edits that hold on the day `on`; of several for one code the latest wins."""
    raise NotImplementedError


def read_entry(kind: EntryKind | str, code: str, body: Mapping[str, Any]) -> Entry:
    """One entry from a plain dict; RuleBroken with a sentence naming what is wrong."""
    raise NotImplementedError


def entry_body(entry: Entry) -> dict[str, Any]:
    """The entry as a plain dict that JSON can hold, without its code; `read_entry` gives it back."""
    raise NotImplementedError
