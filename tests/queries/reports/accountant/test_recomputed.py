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
from sqlalchemy.orm import Session

from shopbook.documents.month_end import make_month_csv, make_month_pdf
from shopbook.documents.month_words import KIND_WORDS
from shopbook.models.session import make_engine, transaction
from shopbook.queries.floor.hours import sum_by_person
from shopbook.queries.money.costs import list_costs
from shopbook.queries.money.owed import list_on_account, list_owed
from shopbook.queries.reports.accountant.people import _sheets
from shopbook.queries.reports.month import get_month_end
from shopbook.queries.shop.days import day_of
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.billing import LineKind, rate_words
from shopbook.trade.measures.days import month_bounds
from shopbook.web.reports.accountant_files import flat_files
from shopbook.web.reports.month_paper import compose_month_paper
from tests.makers.random_shop import RandomShop
from tests.queries.reports.accountant import recomputed
from tests.queries.reports.accountant.recomputed import Files, said

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
    """Every month of a book and the balances of its last day."""
    for month in files.months():
        check_month(session, files, month)
        check_papers(session, files, month, today)
    check_balances(session, files, today)


def check_month(session: Session, files: Files, month: str) -> None:
    """What the month's page asks."""
    first, last = month_bounds(month)
    days = first.isoformat(), last.isoformat()
    figures = get_month_end(session, month)
    assert files.sales_by_kind(*days) == figures.by_kind
    taxes = {(row.code, row.rate_thousandths): (row.basis_minor, row.tax_minor) for row in figures.taxes}
    assert files.tax_by_rate(*days) == taxes
    check_labour(session, files, first, last)
    assert sum(value for _, value in files.stock_on(days[1]).values()) == figures.stock.closing_minor
    sheets = _sheets(ShopOn(session, last), first)
    assert files.on_cars(*days) == {
        row.person_id: row.on_cars_minutes for row in sum_by_person(session, sheets) if row.on_cars_minutes
    }


def check_labour(session: Session, files: Files, first: date, last: date) -> None:
    labour: dict[int, int] = {}
    for line in list_costs(session, first=first, last=last):
        labour[line.job_id] = labour.get(line.job_id, 0) + line.costs.labour_minor
    numbers = files.table("jobs").set_index("job_id")["job_number"]
    told = {int(numbers[job]): cost for job, cost in labour.items() if cost}
    found = files.labour_by_job(first.isoformat(), last.isoformat())
    assert {job: cost for job, cost in found.items() if cost} == told


def check_papers(session: Session, files: Files, month: str, today: date) -> None:
    """The same on paper, as a table and at the command line, found by their words."""
    first, last = (day.isoformat() for day in month_bounds(month))
    paper = compose_month_paper(session, month, today)
    table = [row for row in csv.reader(io.StringIO(make_month_csv(paper))) if row]
    printed = text_of(make_month_pdf(paper))
    sales = files.sales_by_kind(first, last)
    for kind, net in [*sales.items(), ("", sum(sales.values()))]:
        label = ShopOn(session, today).country.say(KIND_WORDS[LineKind(kind)]) if kind else "Total"
        assert ["invoiced", label, plain(net)] in [row[:3] for row in table]
        assert is_printed(printed, label, said(net)), label
    for (code, rate), (basis, tax) in files.tax_by_rate(first, last).items():
        assert f"{rate_words(rate)} {said(basis)} {said(tax)}" in printed, code
        assert [plain(basis), plain(tax)] in [row[2:4] for row in table if row[0] == "tax"]
    stock = sum(value for _, value in files.stock_on(last).values())
    assert ["shelf", "Closing", plain(stock)] in [row[:3] for row in table]
    assert f"Closing {said(stock)}" in printed


def check_balances(session: Session, files: Files, today: date) -> None:
    """Owed and held as of the last day, and the shelf of that day material by material."""
    day = today.isoformat()
    owed = {(line.invoice.id, line.customer_id or 0): line.owed_minor for line in list_owed(session)}
    assert files.owed_on(day) == owed
    held = sum(row.free_minor for row in list_on_account(session))
    assert files.held_on(day) == held == int(files.table("deposits")["held"].sum())
    shelf = files.table("stock").itertuples()
    assert files.stock_on(day) == {row.material_id: (row.quantity, row.value) for row in shelf}
    hours = files.table("hours").groupby("person_id")["on_cars_minutes"].sum()
    assert files.on_cars("", day) == {key: int(minutes) for key, minutes in hours.items() if minutes}


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
def test_the_files_of_a_random_shop_tell_its_figures(shop_of: Session, tmp_path: Path, seed: int) -> None:
    shop = RandomShop(shop_of, seed)
    for _ in range(STEPS):
        shop.go_on()
    with transaction(shop_of):
        today = day_of(shop_of, shop.now)
        check_book(shop_of, exported(shop_of, tmp_path / "files", today), today)
