"""Flat tables as bytes: plain decimals, harmless cells, one row of heads, a byte-order mark; README and code agree."""

import csv
import io
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from zipfile import ZipFile

import pytest
from hypothesis import given
from hypothesis import strategies as some

from shopbook.documents.accountant.columns import CellKind, FlatTable, day, money, quantity, text, whole
from shopbook.documents.accountant.tables import COLUMNS, FLAT_TABLES, describe_columns, offered_tables
from shopbook.documents.accountant.writing import CellWriter, FlatRow, plain_decimal, stream_csv, stream_zip

ROOT = Path(__file__).resolve().parents[2]
TABLE = FlatTable(
    "debts",
    "Debts",
    "who owes what",
    (
        whole("key", "its key"),
        text("name", "who"),
        day("on", "when"),
        money("owed", "how much"),
        quantity("ml", "used"),
    ),
)


def row(name: str = "Ines Okafor", owed: int = 123456) -> FlatRow:
    return {"key": 7, "name": name, "on": date(2026, 11, 5), "owed": owed, "ml": 1500}


def read(rows: list[FlatRow], places: int = 2) -> list[list[str]]:
    body = b"".join(stream_csv(TABLE, rows, places))
    return list(csv.reader(io.StringIO(body.decode("utf-8-sig"))))


def test_a_file_is_a_mark_one_row_of_heads_and_plain_values() -> None:
    body = b"".join(stream_csv(TABLE, [row()], 2))
    assert body == b"\xef\xbb\xbfkey,name,on,owed,ml\r\n7,Ines Okafor,2026-11-05,1234.56,1.500\r\n"


def test_a_table_without_rows_has_its_heads() -> None:
    assert read([]) == [["key", "name", "on", "owed", "ml"]]


@pytest.mark.parametrize(
    ("units", "places", "written"),
    [
        (123456, 2, "1234.56"),
        (-5, 2, "-0.05"),
        (0, 2, "0.00"),
        (1234, 0, "1234"),
        (-1234, 3, "-1.234"),
        (7, 3, "0.007"),
    ],
)
def test_whole_units_become_a_plain_decimal(units: int, places: int, written: str) -> None:
    assert plain_decimal(units, places) == written


@given(some.integers(-(10**15), 10**15), some.integers(0, 4))
def test_no_unit_is_lost_on_the_way(units: int, places: int) -> None:
    assert int(plain_decimal(units, places).replace(".", "")) == units


def test_money_has_the_decimals_of_the_book() -> None:
    assert [read([row(owed=125000)], places)[1][3] for places in (0, 2, 3)] == ["125000", "1250.00", "125.000"]


@pytest.mark.parametrize("kind", list(CellKind))
def test_a_float_is_refused_whatever_the_column_holds(kind: CellKind) -> None:
    with pytest.raises(TypeError):
        CellWriter(2).cell(kind, 0.5)


@pytest.mark.parametrize("kind", list(CellKind))
def test_what_is_not_known_is_an_empty_cell(kind: CellKind) -> None:
    assert CellWriter(2).cell(kind, None) == ""


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("=HYPERLINK(1)", "'=HYPERLINK(1)"),
        ("@SUM(A1)", "'@SUM(A1)"),
        ("+44 20 7946 0000", "'+44 20 7946 0000"),
        ("\t=1+1", "'=1+1"),
        ("＝1", "'＝1"),
        ("two\nlines, and a “comma”", "two lines, and a “comma”"),
        ("1,234", "1,234"),
        ("0042", "0042"),
        ("Zoë Ångström", "Zoë Ångström"),
    ],
)
def test_words_are_harmless_and_else_as_typed(typed: str, kept: str) -> None:
    assert read([row(typed)])[1][1] == kept


def test_rows_are_written_as_they_come() -> None:
    """The first part is there before the last row was asked for."""
    asked: list[int] = []

    def rows() -> Iterator[FlatRow]:
        for number in range(1200):
            asked.append(number)
            yield row()

    parts = stream_csv(TABLE, rows(), 2)
    next(parts)
    next(parts)
    assert len(asked) == 500
    assert b"".join(parts).count(b"\r\n") == 700


def test_a_zip_holds_each_file_and_comes_in_parts() -> None:
    def files() -> Iterator[tuple[str, Iterator[bytes]]]:
        yield "a.csv", iter([b"one", b"two"])
        yield "b.csv", iter([])

    parts = list(stream_zip(files()))
    assert len(parts) > 2
    with ZipFile(io.BytesIO(b"".join(parts))) as packed:
        assert packed.testzip() is None
        assert {name: packed.read(name) for name in packed.namelist()} == {"a.csv": b"onetwo", "b.csv": b""}
    assert list(stream_zip(files())) == parts


def test_a_column_means_one_thing_wherever_it_stands() -> None:
    """Keys join: every column that ends in _id is a whole number, and no table names a column twice."""
    for table in FLAT_TABLES:
        names = [column.name for column in table.columns]
        assert len(names) == len(set(names)), table.code
        keys = [column for column in table.columns if column.name.endswith("_id")]
        assert all(column.kind is CellKind.WHOLE for column in keys), table.code


def test_without_sight_of_pay_no_column_of_it_is_left() -> None:
    seen, all_of_them = offered_tables(sees_pay=False), offered_tables(sees_pay=True)
    assert [table.code for table in all_of_them] == [table.code for table in FLAT_TABLES]
    assert {table.code for table in all_of_them} - {table.code for table in seen} == {"person_costs", "paid_hours"}
    assert not [column.name for table in seen for column in table.columns if column.is_pay]
    assert {"cost", "minutes"} & {
        column.name for table in seen for column in table.columns if table.code == "clock_shares"
    } == {"minutes"}


def test_the_page_of_columns_says_what_the_code_says() -> None:
    """`.readme/accountant.md`, the code and columns.csv are one description."""
    page = (ROOT / ".readme" / "accountant.md").read_text(encoding="utf-8")
    assert page == told()


def told() -> str:
    """The page, from the code: `python -m tests.documents.test_accountant` writes it."""
    lines = ["# For the accountant", "", INTRODUCTION]
    for table in (*FLAT_TABLES, COLUMNS):
        pay = " Only for whoever may see pay." if table.is_pay else ""
        lines += ["", f"## {table.code}.csv", "", f"{table.title}: {table.about}.{pay}", ""]
        lines += ["| column | written as | holds |", "|---|---|---|"]
        lines += [
            f"| {one.name} | {one.kind.value} | {one.about}{' (pay)' if one.is_pay else ''} |" for one in table.columns
        ]
    return "\n".join(lines) + "\n"


INTRODUCTION = """\
Flat tables of any days, from the page “For the accountant” or by
`shopbook report accountant 2026-11-01 2026-11-30 --folder FOLDER` (or `--zip FILE`). Each file is UTF-8 with a
byte-order mark and has one row of heads; dates are ISO dates, amounts plain decimals of the book's currency, minutes
and keys whole numbers. A cell that a spreadsheet would run as a formula begins with an apostrophe. A file holds the
rows of the days that were asked for; what is owed and held is worked out from all days before, so begin with the first
day of the book for it."""


def test_columns_csv_lists_every_column_once() -> None:
    rows = list(describe_columns(FLAT_TABLES))
    assert len(rows) == sum(len(table.columns) for table in FLAT_TABLES)
    assert {(each["file"], each["column"]) for each in rows} == {
        (f"{table.code}.csv", column.name) for table in FLAT_TABLES for column in table.columns
    }


if __name__ == "__main__":
    (ROOT / ".readme" / "accountant.md").write_text(told(), encoding="utf-8")
