"""The links of the seal read one after another, and what is wrong with each."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import column, select, table
from sqlalchemy.orm import Session

from shopbook.models.seal.chain import Seal, read_moment
from shopbook.models.seal.forms import FORMS, SealForm, get_form
from shopbook.trade.sealing import Link

_AT_ONCE = 100
_UNTYPED = table("seal", *(column(each.name) for each in Seal.__table__.columns))


@dataclass(frozen=True, slots=True)
class ReadLink:
    """One link as the book holds it now; `fault` says what is wrong with the link itself."""

    number: int
    at: datetime | None
    form: SealForm
    note: str
    entries: tuple[tuple[str, int, str], ...]
    """Table, key and hint of each row."""
    rows_sha256: str
    sha256: str
    fault: str | None


def say_at(moment: datetime | None) -> str:
    """A moment as `check` says it, in UTC, for it reads books of any zone."""
    return f"{moment.astimezone(UTC):%Y-%m-%d %H:%M} UTC" if moment else "no moment"


def read_links(session: Session, first: int = 1, last: int | None = None) -> Iterator[list[ReadLink]]:
    """The links of these numbers, both included (all from the first on), some at a time; each proved by its own digest
    and by the link before it."""
    key = _UNTYPED.c.number
    asked = select(_UNTYPED).order_by(key).execution_options(yield_per=_AT_ONCE)
    asked = asked.where(key >= first) if first > 1 else asked
    asked = asked if last is None else asked.where(key <= last)
    number, digest = _before(session, first)
    for batch in session.connection().execute(asked).mappings().partitions(_AT_ONCE):
        read = []
        for row in batch:
            read.append(_read(dict(row), number, digest))
            number, digest = row["number"], row["sha256"]
        yield read


def _before(session: Session, first: int) -> tuple[int, str]:
    """Number and digest of the link before one; of the first zero and nothing."""
    key = _UNTYPED.c.number
    asked = select(key, _UNTYPED.c.sha256).where(key < first).order_by(key.desc()).limit(1)
    found = session.connection().execute(asked).first() if first > 1 else None
    return (found[0], found[1]) if found else (0, "")


def _read(row: dict[str, Any], last_number: int, last_digest: str) -> ReadLink:
    at = read_moment(row["at"])
    at = at if isinstance(at, datetime) else None
    return ReadLink(
        number=row["number"],
        at=at,
        note=row["note"],
        form=get_form(row["form"] if row["form"] in FORMS else FORMS[-1]),
        entries=tuple(_entry(line) for line in str(row["entries"]).splitlines()),
        rows_sha256=row["rows_sha256"],
        sha256=row["sha256"],
        fault=_fault(row, at, last_number, last_digest),
    )


def _entry(line: str) -> tuple[str, int, str]:
    """A line that is none of ours names no table, and its link is found by its own digest."""
    name, key, hint = (*line.split(" ", 2), "", "")[:3]
    return name, int(key) if key.isascii() and key.isdigit() and len(key) < 19 else 0, hint


def _fault(row: dict[str, Any], at: datetime | None, last_number: int, last_digest: str) -> str | None:
    number = row["number"]
    missing = number - last_number - 1
    if missing > 0:
        which = f"Link {last_number + 1} is" if missing == 1 else f"Links {last_number + 1} to {number - 1} are"
        return f"{which} missing from the seal, before the one of {say_at(at)}"
    if row["previous"] != last_digest:
        return f"Link {number} of the seal ({say_at(at)}) does not follow the link before it: one of them was changed"
    if at is None or row["sha256"] != _link(row, at).sha256:
        return f"Link {number} of the seal ({say_at(at)}) was changed"
    if row["form"] not in FORMS:
        return f"Link {number} of the seal is in form {row['form']}, which this program does not know"
    return None


def _link(row: dict[str, Any], at: datetime) -> Link:
    return Link(**({name: row[name] for name in Link.__slots__} | {"at": at}))
