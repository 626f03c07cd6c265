"""The table of links, rows read back in a form, and links written behind the last one."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import UTC, datetime
from functools import cache
from itertools import islice
from typing import Any

from sqlalchemy import Connection, Select, bindparam, column, func, insert, select, table
from sqlalchemy.orm import Mapped, mapped_column

from shopbook.models.base import Base, Line, Moment, Whole, Words
from shopbook.models.seal.forms import SealForm, get_form
from shopbook.trade.sealing import KeptSeal, Link, SealedRow, canonical_row, next_link, say_moment

MOST_ROWS = 1_000
"""A link of a usual write has a few rows; what is written in bulk, and an old book, is cut into links of so many."""

_LONG_AGO = datetime(1970, 1, 1, tzinfo=UTC)


class Seal(Base):
    """One link: the rows that one write transaction added to sealed tables (`trade/sealing.py`). Append-only."""

    __tablename__ = "seal"

    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    previous: Mapped[Line] = mapped_column(unique=True)
    """The digest of the link before; empty for the first. Unique: no two links can follow one."""
    at: Mapped[Moment]
    """When the act was; of several rows the latest moment."""
    form: Mapped[Whole]
    note: Mapped[Line] = mapped_column(default="", server_default="")
    """Empty for an act; else what was done: an old book sealed from here on, a backup restored."""
    entries: Mapped[Words]
    rows_sha256: Mapped[Line]
    sha256: Mapped[Line]


def last_link(connection: Connection) -> KeptSeal | None:
    """The newest link; None before there is one."""
    row = connection.execute(_LAST).first()
    return KeptSeal(row.number, row.sha256) if row else None


_LAST = select(Seal.number, Seal.sha256).order_by(Seal.number.desc()).limit(1)


def top_of(connection: Connection, name: str) -> int:
    """The highest id of a table; zero for an empty one."""
    return int(connection.execute(_top(name)).scalar_one())


@cache
def _top(name: str) -> Select[Any]:
    return select(func.coalesce(func.max(column("id")), 0)).select_from(table(name))


def rows_above(connection: Connection, form: SealForm, name: str, low: int) -> Iterator[SealedRow]:
    """The rows of a table whose id is higher than `low`, in a form, by id."""
    yield from read_rows(form, name, connection.execute(_from(form.number, name), {"low": low + 1}))


@cache
def _from(form: int, name: str) -> Select[Any]:
    return select_sealed(get_form(form), name).where(column("id") >= bindparam("low")).order_by(column("id"))


def select_sealed(form: SealForm, name: str) -> Select[Any]:
    """The columns of a form, without types: values come as the driver gives them, whatever somebody put there."""
    return select(table(name, *(column(each) for each in form.tables[name])))


def values_between(connection: Connection, form: SealForm, name: str, low: int, high: int) -> Iterator[dict[str, Any]]:
    """The rows of a table of a run of ids, both ends included, as the form takes them, by id."""
    yield from typed_values(form, name, connection.execute(_between(form.number, name), {"low": low, "high": high}))


@cache
def _between(form: int, name: str) -> Select[Any]:
    return _from(form, name).where(column("id") <= bindparam("high"))


def read_rows(form: SealForm, name: str, rows: Iterable[Sequence[Any]]) -> Iterator[SealedRow]:
    """Rows of `select_sealed` as the driver gave them, in their one form."""
    for values in typed_values(form, name, rows):
        at = values.get("at")
        yield SealedRow(name, values["id"], canonical_row(name, values), at if isinstance(at, str) else None)


def typed_values(form: SealForm, name: str, rows: Iterable[Sequence[Any]]) -> Iterator[dict[str, Any]]:
    """Rows of `select_sealed` as the driver gave them, by column, each value typed by its column's kind."""
    columns = form.tables[name]
    typed = [(key, _READ[kind]) for key, kind in columns.items() if kind in _READ]
    for row in rows:
        values = dict(zip(columns, row, strict=True))
        for key, read in typed:
            values[key] = read(values[key])
        yield values


def _yes_or_no(value: Any) -> Any:
    """SQLite keeps 0 and 1; another number stays one, for it is not what was written."""
    return bool(value) if isinstance(value, int) and value in (0, 1) else value


def read_moment(value: Any) -> Any:
    """SQLite keeps UTC as text without a zone; a text that is no moment stays as it is."""
    if not isinstance(value, str):
        return value
    try:
        read = datetime.fromisoformat(value)
    except ValueError:
        return value
    return read.replace(tzinfo=read.tzinfo or UTC)


def _said(value: Any) -> Any:  # of whatever type a driver gives
    """A moment as the form says it. What SQLite keeps is that text but for two letters; a million need no calendar."""
    if isinstance(value, str) and len(value) == _KEPT_LETTERS and value[10] == " ":
        return f"{value[:10]}T{value[11:]}Z"
    read = read_moment(value)
    return say_moment(read) if isinstance(read, datetime) else read


_KEPT_LETTERS = len("2026-11-05 17:00:00.000000")
_READ: Mapping[str, Callable[[Any], Any]] = {"b": _yes_or_no, "m": _said}
"""By kind; numbers, texts and days stay as they come."""


def write_links(
    connection: Connection, form: SealForm, lows: Mapping[str, int], note: str = "", at: datetime | None = None
) -> None:
    """Seal all rows above the given ids of their tables; a note is kept even where there is no such row.

    `at` is the links' moment where that is not the rows' own: an old book's at its upgrade.
    """
    rows = (row for name in sorted(lows) for row in rows_above(connection, form, name, lows[name]))
    batch = tuple(islice(rows, MOST_ROWS))
    while batch or note:
        last = last_link(connection)
        moment = at or _moment_of(connection, batch)
        _keep(connection, next_link(last, moment, form.number, note, batch))
        following = tuple(islice(rows, MOST_ROWS))
        batch, note = following, note if following else ""


def _moment_of(connection: Connection, rows: Sequence[SealedRow]) -> datetime:
    """The latest moment among the rows; that of the link before where they have none."""
    latest = read_moment(max((row.at for row in rows if row.at is not None), default=None))
    before = select(Seal.at).order_by(Seal.number.desc()).limit(1)
    return latest if isinstance(latest, datetime) else connection.execute(before).scalar() or _LONG_AGO


def _keep(connection: Connection, link: Link) -> None:
    values = {name: getattr(link, name) for name in Link.__slots__}
    connection.execute(insert(Seal), values | {"sha256": link.sha256})
