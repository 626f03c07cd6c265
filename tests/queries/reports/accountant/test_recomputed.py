"""The accountant's files tell the same figures as page, paper, table and command: of the demo and of twenty shops."""

import ast
import csv
import io
import shutil
import subprocess
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner
from sqlalchemy.orm import Session

from shopbook.cli import main
from shopbook.commands import report
from shopbook.documents.month.section import SectionRow
from shopbook.documents.month_end import MonthPaper, make_month_csv, make_month_pdf
from shopbook.models.session import make_engine
from shopbook.queries.floor.hours import sheets_to_the_end, sum_by_person
from shopbook.queries.money.costs import list_costs
from shopbook.queries.money.owed import list_on_account, list_owed
from shopbook.queries.reports.house_costs import read_house_costs
from shopbook.queries.reports.paid import get_paid
from shopbook.queries.reports.tax import get_tax
from shopbook.queries.reports.whole_month import WholeMonth, read_month
from shopbook.queries.shop.days import day_of
from shopbook.queries.shop.house_costs import list_paid_weeks
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.measures.days import month_bounds
from shopbook.web.reports.accountant_files import flat_files
from shopbook.web.reports.month_paper import compose_closing, compose_month_paper
from tests.makers.random_shop import RandomShop
from tests.queries.reports.accountant import recomputed
from tests.queries.reports.accountant.recomputed import Course, Files, said

STEPS = 120
pytestmark = pytest.mark.processes  # what a paper says is read by pdftotext
FIRST = date(2000, 1, 1)


def exported(session: Session, folder: Path, today: date, first: date = FIRST) -> Files:
    """The files of a book from its beginning to a day."""
    folder.mkdir()
    for name, body in flat_files(ShopOn(session, today), first, sees_pay=True):
        with (folder / name).open("wb") as out:
            out.writelines(body)
    return Files(folder)


def check_book(session: Session, files: Files, today: date) -> None:
    """Every month of a book as its page asks for it, and the tables of its last day."""
    for month in files.months():
        check_month(session, files, month, today)
    check_last_day(files, today)


def check_month(session: Session, files: Files, month: str, today: date) -> None:
    """What the month's page shows, then the same rows on paper and as a table."""
    first, last = month_bounds(month)
    days = first.isoformat(), last.isoformat()
    read = read_month(ShopOn(session, today), month)
    assert files.sales_by_kind(*days) == read.left.figures.by_kind
    taxes = {(row.code, row.rate_thousandths): (row.basis_minor, row.tax_minor) for row in read.left.figures.taxes}
    assert files.tax_by_rate(*days) == taxes
    told = get_tax(ShopOn(session, last), first, last)
    assert (told.basis_minor, told.tax_minor) == tuple(map(sum, zip((0, 0), *taxes.values(), strict=True)))
    assert files.paid_by_means(*days) == {
        row.means: row.total_minor for row in get_paid(session, first, last).rows if row.total_minor
    }
    assert sum(value for _, value in files.stock_on(days[1]).values()) == read.left.figures.stock.closing_minor
    check_labour(session, files, first, last)
    check_hours(session, files, first, last)
    check_balances(session, files, read.left.until)
    check_work(files, read)
    check_papers(files, read, paper_of_month(session, month, today))


def paper_of_month(session: Session, month: str, today: date) -> MonthPaper:
    """The paper as it is shown; of a month closed before rows were kept by their codes, as the book stands."""
    paper = compose_month_paper(session, month, today)
    return paper if paper.section("invoiced") else compose_closing(session, month, today)[0]


def check_labour(session: Session, files: Files, first: date, last: date) -> None:
    """What the labour of each job cost, rework too."""
    labour: dict[int, int] = {}
    for line in list_costs(session, first=first, last=last):
        labour[line.job_id] = labour.get(line.job_id, 0) + line.costs.labour_minor
    numbers = files.table("jobs").set_index("job_id")["job_number"]
    told = {int(numbers[job]): cost for job, cost in labour.items() if cost}
    found = files.labour_by_job(first.isoformat(), last.isoformat())
    assert {job: cost for job, cost in found.items() if cost} == told


def check_hours(session: Session, files: Files, first: date, last: date) -> None:
    """Hours by person, and wages of whoever is paid by attendance."""
    days, shop = (first.isoformat(), last.isoformat()), ShopOn(session, last)
    hours = sum_by_person(session, sheets_to_the_end(shop, first, last))
    assert files.on_cars(*days) == {row.person_id: row.on_cars_minutes for row in hours if row.on_cars_minutes}
    assert {key: here for key, (here, _) in files.attended(*days).items()} == {
        row.person_id: row.here_minutes for row in hours if row.here_minutes
    }
    by_week = set(list_paid_weeks(session))
    paid = {one.person_id: one.paid for one in read_house_costs(shop, first, last).wages.people if one.paid.minutes}
    assert {key: each for key, each in files.attended(*days).items() if key not in by_week} == {
        key: (one.minutes, one.wages_minor) for key, one in paid.items() if key not in by_week
    }


def check_balances(session: Session, files: Files, day: date) -> None:
    """Owed and held when a day ended."""
    owed = {(line.invoice.id, line.customer_id or 0): line.owed_minor for line in list_owed(session, day)}
    assert files.owed_on(day.isoformat()) == owed
    assert files.held_on(day.isoformat()) == sum(row.free_minor for row in list_on_account(session, day))


def check_work(files: Files, read: WholeMonth) -> None:
    """Work in progress job by job, and gross profit by its rule."""
    told = {
        int(number): Course(
            job.opening_minor + job.changed_minor,
            job.added.total_minor,
            job.invoiced.total_minor,
            job.cancelled.total_minor,
            job.further.total_minor,
            job.later.total_minor,
        )
        for number, job in read.left.work.jobs.items()
    }
    found = files.work_in_progress(read.month)
    assert {number: course for number, course in found.items() if course != Course()} == {
        number: course for number, course in told.items() if course != Course()
    }
    taken = sum(course.invoiced + course.further for course in found.values())
    assert read.left.profit.gross.margin_minor == sum(read.left.figures.by_kind.values()) - taken
    apart = read.left.profit.rework_minor + read.left.profit.goodwill_minor + read.left.profit.own_cars_minor
    assert files.apart(read.month) == apart


def check_papers(files: Files, read: WholeMonth, paper: MonthPaper) -> None:
    """The same figures in the rows of paper and table, found by the codes of their rows."""
    table = {(row[0], row[1]): tuple(row[4:]) for row in csv.reader(io.StringIO(make_month_csv(paper))) if len(row) > 4}
    printed = text_of(make_month_pdf(paper))
    for (section, code), minors in expected_rows(files, read).items():
        row = row_of(paper, section, code)
        assert row.figures[-len(minors) :] == tuple(map(said, minors)), (section, code)
        assert table[section, code][-len(minors) :] == tuple(map(plain, minors)), (section, code)
        assert is_printed(printed, row.label, " ".join(row.figures)), (section, code, row)


def row_of(paper: MonthPaper, section: str, code: str) -> SectionRow:
    found = paper.section(section)
    assert found is not None, section
    return next(row for row in (*found.rows, *([found.total] if found.total else [])) if row.code == code)


def expected_rows(files: Files, read: WholeMonth) -> dict[tuple[str, str], tuple[int, ...]]:
    """By section and code, the figures that a row must have."""
    days = read.first.isoformat(), read.last.isoformat()
    sales = files.sales_by_kind(*days)
    rows: dict[tuple[str, str], tuple[int, ...]] = {("invoiced", kind): (net,) for kind, net in sales.items()}
    rows["invoiced", "total"] = rows["profit", "sales"] = (sum(sales.values()),)
    for (code, rate), sums in files.tax_by_rate(*days).items():
        if rate and any(sums):
            rows["tax", f"{code}.{rate}"] = sums
    for means, amount in files.paid_by_means(*days).items():
        rows["paid", means] = (amount,)
    until = read.left.until.isoformat()
    held = files.held_on(until, with_security=False)
    rows["owed", "on_account"], rows["owed", "total"] = (-held,), (sum(files.owed_on(until).values()) - held,)
    rows["stock", "closing"] = (sum(value for quantity, value in files.stock_on(days[1]).values() if quantity >= 0),)
    work = files.work_in_progress(read.month).values()
    sums = {name: sum(getattr(course, name) for course in work) for name in ("opening", "added", "closing")}
    rows |= {("work", name): (each,) for name, each in sums.items()}
    rows["work", "invoiced"] = (-sum(course.invoiced for course in work),)
    if cancelled := sum(course.cancelled for course in work):
        rows["work", "cancelled"] = (-cancelled,)
    taken = sum(course.invoiced + course.further for course in work)
    rows["profit", "gross_profit"] = (sum(sales.values()) - taken,)
    return rows


def check_last_day(files: Files, today: date) -> None:
    """The tables of the last day are what all rows before it come to."""
    day = today.isoformat()
    assert files.held_on(day) == int(files.table("deposits")["held"].sum())
    shelf = files.table("stock").itertuples()
    assert files.stock_on(day) == {row.material_id: (row.quantity, row.value) for row in shelf}
    hours = files.table("hours").groupby("person_id")["on_cars_minutes"].sum()
    assert files.on_cars("", day) == {key: int(minutes) for key, minutes in hours.items() if minutes}
    work = files.table("work_in_progress").itertuples()
    closing = {number: course.closing for number, course in files.work_in_progress(day[:7]).items() if course.closing}
    assert closing == {row.job_number: row.cost for row in work if row.cost}


def is_printed(printed: str, label: str, figure: str) -> bool:
    """Whether a label stands before its figure; of one that takes two lines the first of them does."""
    words = label.split()
    return any(f"{' '.join(words[:count])} {figure}" in printed for count in range(1, len(words) + 1))


def text_of(paper: bytes) -> str:
    """What a paper says, each run of spaces as one."""
    command = ["pdftotext", "-layout", "-", "-"]
    told = subprocess.run(command, input=paper, capture_output=True, check=True).stdout.decode()
    return " ".join(told.split())


def plain(minor: int) -> str:
    return said(minor).replace(",", "").replace("−", "-")


@pytest.fixture
def shop_of(empty_book_file: Path, tmp_path: Path) -> Iterator[Session]:
    engine = make_engine(f"sqlite:///{shutil.copy(empty_book_file, tmp_path / 'book.sqlite3')}")
    with Session(engine) as session:
        yield session
    engine.dispose()


def test_nothing_of_the_program_is_called_by_what_recomputes() -> None:
    tree = ast.parse(Path(recomputed.__file__).read_text(encoding="utf-8"))
    names = {node.module or "" for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
    names |= {name.name for node in ast.walk(tree) if isinstance(node, ast.Import) for name in node.names}
    assert "pandas" in names
    assert not [name for name in names if name.startswith(("shopbook", "tests"))]


@pytest.mark.parametrize("seed", [*range(4), *(pytest.param(seed, marks=pytest.mark.demo) for seed in range(4, 20))])
def test_the_files_of_a_random_shop_tell_its_figures(
    shop_of: Session, tmp_path: Path, seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    shop = RandomShop(shop_of, seed)
    for _ in range(STEPS):
        shop.go_on()
    today = day_of(shop_of, shop.now)
    files = exported(shop_of, tmp_path / "files", today)
    check_book(shop_of, files, today)
    monkeypatch.setattr(report, "now", lambda: shop.now)
    check_command(shop_of, files, {"SHOPBOOK_DATA": str(tmp_path)}, today)


def check_command(session: Session, files: Files, environment: dict[str, str], today: date) -> None:
    """The newest month at the command line has the same rows."""
    month = today.isoformat()[:7]
    result = CliRunner().invoke(main, ["report", "month-end", month], env=environment, catch_exceptions=False)
    assert result.exit_code == 0, result.output
    read, lines = read_month(ShopOn(session, today), month), result.output.splitlines()
    paper = paper_of_month(session, month, today)
    for (section, code), minors in expected_rows(files, read).items():
        label, figures = row_of(paper, section, code).label, [*map(said, minors)]
        assert any(label in line and line.split()[-len(figures) :] == figures for line in lines), (section, code)
