"""The figures of every shipped file that a book may have been started with, and what differs in the one of today.

A release is one file of `releases/`. The first holds all its rows; every other one only those in which it differs from
the first (null: a row that it does not have), under a name made from its figures, so that two people who change
figures side by side never write the same file.
"""

import hashlib
import json
import re
from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any, NamedTuple

from shopbook.trade.catalogue.entries import Catalogue, EntryKind
from shopbook.trade.catalogue.figures import figures_of, kept_of
from shopbook.trade.catalogue.first_words import FIRST, find_text
from shopbook.trade.catalogue.reading import TABLES, own_catalogue, read_stored

ONLY_OFFERED = frozenset({EntryKind.PRICE, EntryKind.SMALL_DENT})
"""Kinds of which a new row comes into an old book only by a press: a price is the shop's to set."""

Rows = Mapping[str, Mapping[str, Mapping[str, Any] | None]]
"""Kept fields by kind and code."""


class KeptRow(NamedTuple):
    """What an old book goes on with for one code; no body: it goes on without this row."""

    kind: EntryKind
    code: str
    body: dict[str, Any] | None


def rows_of(catalogue: Catalogue) -> dict[str, dict[str, dict[str, Any]]]:
    """The kept fields of every entry that has figures, by kind and code."""
    return {
        kind.value: {code: kept_of(entry) for code, entry in sorted(getattr(catalogue, table).items())}
        for kind, table in TABLES.items()
        if kind is not EntryKind.CAUTION
    }


def name_release(catalogue: Catalogue) -> str:
    """The name of a catalogue's figures: sixteen letters that change with any of them."""
    return hashlib.sha256(json.dumps(rows_of(catalogue), sort_keys=True).encode()).hexdigest()[:16]


NEWER_BOOK = "This book is from a newer Shopbook: install that version, or a later one, to use it."
"""What every command says of a book that a newer program made or brought further; nothing else can be done with it."""


@cache
def own_release() -> str:
    """The release that this program ships."""
    return name_release(own_catalogue())


@cache
def find_release(name: str) -> Rows | None:
    """The rows of a release; None for one that this program does not know, which a newer one made.

    A book of the time before releases were named holds a number of that year, and the first one's figures.
    """
    first: Rows = json.loads(find_text(FIRST) or "")["rows"]
    if re.fullmatch(r"2026\.\d+", name):
        return first
    text = find_text(name) if re.fullmatch(r"[0-9a-f]{16}", name) else None
    if text is None:
        return None
    changed: Rows = json.loads(text)["rows"]
    whole = {kind: {**first.get(kind, {}), **changed.get(kind, {})} for kind in {**first, **changed}}
    return {kind: {code: body for code, body in rows.items() if body is not None} for kind, rows in whole.items()}


def rows_to_keep(before: Rows, shipped: Catalogue) -> Iterator[KeptRow]:
    """What a book that has gone by the rows `before` must write down, to go by them still under the shipped file.

    A stage of 30 minutes that ships with 40 is kept at 30; a row that no longer ships is kept; a new price is kept
    out; any other new row comes at once, for stages need it.
    """
    for kind, table in TABLES.items():
        now, held = getattr(shipped, table), before.get(kind.value, {})
        for code, body in held.items():
            entry = read_stored(shipped, kind, code, body or {})
            if code not in now or figures_of(now[code]) != figures_of(entry):
                yield KeptRow(kind, code, kept_of(entry))
        if kind in ONLY_OFFERED:
            yield from (KeptRow(kind, code, None) for code in now if code not in held)
