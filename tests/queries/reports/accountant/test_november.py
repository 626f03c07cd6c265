"""What the outside check makes of the November that is worked out by hand in the trade's work in progress."""

from datetime import date
from pathlib import Path

from shopbook.documents.accountant.tables import COLUMNS, FLAT_TABLES, describe_columns
from shopbook.documents.accountant.writing import stream_csv
from tests.queries.reports.accountant.recomputed import Course, Files

DAYS = {"on", "issued_on", "cancelled_on"}


def test_the_outside_check_knows_a_november_worked_out_by_hand(tmp_path: Path) -> None:
    """340.00 + 878.00 − 508.00 − 70.00 = 640.00; gross profit 1,150.00 − 508.00 = 642.00; 118.00 and 24.00 apart."""
    files = november(tmp_path)
    work = files.work_in_progress("2026-11")
    assert work == {
        1: Course(opening=34000, added=16800, invoiced=50800),
        2: Course(added=38500),
        3: Course(added=25500),
        5: Course(added=7000, cancelled=7000),
        6: Course(later=2400),
    }
    sums = {name: sum(getattr(course, name) for course in work.values()) for name in ("opening", "added", "invoiced")}
    assert sums == {"opening": 34000, "added": 87800, "invoiced": 50800}
    assert sum(course.closing for course in work.values()) == 64000
    assert files.sales_by_kind("2026-11-01", "2026-11-30")["labour"] - sums["invoiced"] == 64200
    assert files.apart("2026-11") == 11800


def november(folder: Path) -> Files:
    """A invoiced on the 20th, B in work, C handed over, D a comeback, E cancelled, F waxed after October's invoice."""
    jobs = [
        (1, "paid", ""),
        (2, "paid", ""),
        (3, "paid", ""),
        (4, "comeback", ""),
        (5, "paid", "2026-11-25"),
        (6, "paid", ""),
    ]
    spent = [(1, "10-12", 34000), (1, "11-09", 16800), (2, "11-16", 38500), (3, "11-17", 25500), (4, "11-18", 11800)]
    spent += [(5, "11-19", 7000), (6, "10-20", 9900), (6, "11-20", 2400)]
    papers = [(1, 1, "2026-11-20", 115000), (2, 6, "2026-10-30", 50000)]
    written: dict[str, list[dict[str, object]]] = {
        "jobs": [
            {"job_id": n, "job_number": n, "purpose": why, "is_sample": False, "cancelled_on": off}
            for n, why, off in jobs
        ],
        "clock_shares": [{"job_id": n, "on": f"2026-{on}", "minutes": 60, "cost": cost} for n, on, cost in spent],
        "invoices": [
            {"invoice_id": key, "job_id": job, "kind": "invoice", "issued_on": on, "net": net}
            for key, job, on, net in papers
        ],
        "invoice_lines": [
            {"invoice_id": key, "kind": "labour", "issued_on": on, "net": net} for key, _, on, net in papers
        ],
    }
    for table in FLAT_TABLES:
        rows = [dict.fromkeys(column.name for column in table.columns) | row for row in written.get(table.code, [])]
        (folder / f"{table.code}.csv").write_bytes(b"".join(stream_csv(table, map(as_days, rows), 2)))
    (folder / "columns.csv").write_bytes(b"".join(stream_csv(COLUMNS, describe_columns(FLAT_TABLES), 2)))
    return Files(folder)


def as_days(row: dict[str, object]) -> dict[str, object]:
    """The days of a row as days, an empty one as none."""
    days = {name: date.fromisoformat(str(each)) for name, each in row.items() if name in DAYS and each}
    return row | dict.fromkeys(DAYS & row.keys()) | days
