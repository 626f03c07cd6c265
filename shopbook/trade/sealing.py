"""The seal as calculation: a row in its one canonical form, and the link that is made over the rows of one write.

Worked example. A labour rate is written as the book's first link, on Nov 5, 2026 at 17:00 UTC:

    ["labour_rate",{"at":"2026-11-05T17:00:00.000000Z","from_on":"2026-01-01","id":1,"payer_kind":"any",
    "rate_minor":7800,"skill":"body"}]

is one line (broken here), its SHA-256 begins 4e808addd73704cb. The link's entries are "labour_rate 1 4e808addd73704cb",
the digest of its rows is the SHA-256 of that line and a line feed, and its own digest is the SHA-256 of

    1                             number
    (empty)                       digest of the link before
    2026-11-05T17:00:00.000000Z   moment
    1                             form
    (empty)                       note
    (64 hex figures)              digest of the rows
    labour_rate 1 4e808addd73704cb

each followed by a line feed: 3ed224a855571aad…. `sha256sum` on a file of these lines gives the same.
"""

import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any, NamedTuple

HINT_FIGURES = 16
"""So many hex figures of a row's digest stand in its link: enough to say which row was changed."""

RESTORED = "Restored from "
"""How the note of a link begins that was written when a backup was restored; its name follows."""


class SealedRow(NamedTuple):
    """One row as it was sealed: its table, its key, its canonical form, and its own moment, as it is said there, where
    it has one."""

    table: str
    key: int
    canonical: bytes
    at: str | None = None

    @property
    def entry(self) -> str:
        """How the link names it."""
        return f"{self.table} {self.key} {hashlib.sha256(self.canonical).hexdigest()[:HINT_FIGURES]}"


@dataclass(frozen=True, slots=True)
class Link:
    """One link of the seal, as it is kept; `entries` are lines of table, key and the beginning of the row's digest."""

    number: int
    previous: str
    at: datetime
    form: int
    note: str
    entries: str
    rows_sha256: str

    @property
    def sha256(self) -> str:
        """Its own digest, over all of it."""
        lines = (self.number, self.previous, say_moment(self.at), self.form, self.note, self.rows_sha256, self.entries)
        return hashlib.sha256("".join(f"{line}\n" for line in lines).encode()).hexdigest()


@dataclass(frozen=True, slots=True)
class KeptSeal:
    """A link that something else remembers: a closing, a backup. Whoever cuts off the seal's end cannot reach them."""

    number: int
    sha256: str


def say_moment(moment: datetime) -> str:
    """A moment in UTC, to the microsecond: "2026-11-05T17:00:00.000000Z"."""
    return f"{moment.astimezone(UTC).replace(tzinfo=None).isoformat(timespec='microseconds')}Z"


def canonical_row(table: str, values: Mapping[str, Any]) -> bytes:
    """A row in its one form: JSON in UTF-8 without spaces, the table's name, then the columns by name.

    What is NULL is left out, so that a column added later leaves older rows as they were; an empty text stays. Days are
    ISO, moments as `say_moment`, text as it is stored. A value that no column of ours can hold is written in a way that
    no proper value is, so that the row is found to be changed and nothing stops.
    """
    return _encoded(_without_null(table, values)).encode("utf-8", "backslashreplace")


def canonical_lines(rows: Iterable[tuple[str, Mapping[str, Any]]]) -> bytes:
    """Rows in their one form, a line feed behind each: what `canonical_row` makes of each, made at once.

    Where one row ends and the next begins stands in no text of a row, for there every quotation mark has a backslash.
    """
    whole = _encoded([_without_null(*row) for row in rows])[1:-1].replace('],["', ']\n["')
    return f"{whole}\n".encode("utf-8", "backslashreplace") if whole else b""


def _without_null(table: str, values: Mapping[str, Any]) -> list[Any]:
    return [table, {name: value for name, value in values.items() if value is not None}]


def _plain(value: Any) -> str:
    if isinstance(value, datetime):
        return say_moment(value)
    return value.isoformat() if isinstance(value, date) else repr(value)


_encoded = json.JSONEncoder(default=_plain, ensure_ascii=False, separators=(",", ":"), sort_keys=True).encode


def entries_of(rows: Iterable[SealedRow]) -> str:
    """How a link names its rows, one a line; they come in the order of table and key."""
    return "\n".join(row.entry for row in rows)


def rows_digest(canonical: Iterable[bytes]) -> str:
    """The SHA-256 over full canonical rows in the order of their entries, a line feed behind each."""
    whole = hashlib.sha256()
    for row in canonical:
        whole.update(row + b"\n")
    return whole.hexdigest()


def next_link(last: KeptSeal | None, at: datetime, form: int, note: str, rows: Sequence[SealedRow]) -> Link:
    """The link over rows behind the last one, or the first of a book."""
    number, previous = (last.number + 1, last.sha256) if last else (1, "")
    digest = rows_digest(row.canonical for row in rows)
    return Link(number, previous, at, form, note, entries_of(rows), digest)
