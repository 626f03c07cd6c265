"""Flat tables as bytes, a few rows at a time: one CSV file, or all of them in one zip."""

import csv
import io
from collections.abc import Callable, Iterable, Iterator, Mapping
from datetime import date
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

from shopbook.documents.accountant.columns import CellKind, FlatTable
from shopbook.documents.month_end import safe_cell

FlatRow = Mapping[str, object]
"""The values of one row by column: whole numbers (money in minor units, minutes, thousandths), text, days, None."""

BYTE_ORDER_MARK = b"\xef\xbb\xbf"
"""Without it spreadsheets read UTF-8 as letters of their own country."""

ROWS_AT_ONCE = 500


def plain_decimal(units: int, places: int) -> str:
    """Whole units as a decimal with a point: −5 of 2 places is "-0.05". Never a float on the way."""
    figures = f"{abs(units):0{places + 1}d}"
    sign = "-" if units < 0 else ""
    return f"{sign}{figures[:-places]}.{figures[-places:]}" if places else f"{sign}{figures}"


def plain_text(words: str) -> str:
    """Words as they are, on one line, kept as text where a spreadsheet would run them.

    What looks like a number stays as it was typed: an order number "1,234" is none of ours to rewrite.
    """
    line = " ".join(words.split())
    safe = safe_cell(line)
    return safe if safe.startswith("'") else line


class CellWriter:
    """Writes the cells of a book whose money has so many decimals."""

    def __init__(self, places: int) -> None:
        self._ways: dict[CellKind, Callable[[int], str]] = {
            CellKind.WHOLE: str,
            CellKind.MONEY: lambda minor: plain_decimal(minor, places),
            CellKind.QUANTITY: lambda thousandths: plain_decimal(thousandths, 3),
            CellKind.PERCENT: lambda thousandths: plain_decimal(thousandths, 3),
            CellKind.FLAG: lambda is_so: "yes" if is_so else "no",
        }

    def cell(self, kind: CellKind, value: object) -> str:
        """One value as text; TypeError for one that is not of its kind, a float above all."""
        if value is None:
            return ""
        if kind is CellKind.TEXT and isinstance(value, str):
            return plain_text(value)
        if kind is CellKind.DAY and isinstance(value, date):
            return value.isoformat()
        if kind in self._ways and isinstance(value, int):
            return self._ways[kind](value)
        raise TypeError(f"{value!r} is not a {kind.value}")


def stream_csv(table: FlatTable, rows: Iterable[FlatRow], places: int) -> Iterator[bytes]:
    """The file of one table, some hundred rows at a time."""
    out, cells = io.StringIO(), CellWriter(places)
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([column.name for column in table.columns])
    yield BYTE_ORDER_MARK
    for count, row in enumerate(rows, 1):
        writer.writerow([cells.cell(column.kind, row[column.name]) for column in table.columns])
        if count % ROWS_AT_ONCE == 0:
            yield _taken(out)
    yield _taken(out)


def _taken(out: io.StringIO) -> bytes:
    body = out.getvalue().encode()
    out.seek(0)
    out.truncate()
    return body


class _Pipe:
    """What a zip is written to: it keeps only what was not handed on yet, and cannot be wound back."""

    def __init__(self) -> None:
        self._kept: list[bytes] = []

    def write(self, body: bytes) -> int:
        """Take a part of the zip."""
        self._kept.append(bytes(body))
        return len(body)

    def flush(self) -> None:
        """Nothing waits behind it."""

    def close(self) -> None:
        """There is nothing to close."""

    def taken(self) -> bytes:
        """What came since it was asked last."""
        body, self._kept = b"".join(self._kept), []
        return body


def stream_zip(files: Iterable[tuple[str, Iterable[bytes]]]) -> Iterator[bytes]:
    """One zip of these files by name, written as its parts come; the same bytes for the same rows."""
    pipe = _Pipe()
    with ZipFile(pipe, "w", ZIP_DEFLATED) as packed:
        for name, body in files:
            with packed.open(_named(name), "w", force_zip64=True) as out:
                for part in body:
                    out.write(part)
                    yield pipe.taken()
    yield pipe.taken()


def _named(name: str) -> ZipInfo:
    """A file without a time of its own, so that the same tables are the same zip, readable by whoever unpacks it."""
    found = ZipInfo(name)
    found.compress_type = ZIP_DEFLATED
    found.external_attr = 0o644 << 16
    return found
