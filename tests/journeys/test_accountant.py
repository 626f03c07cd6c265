"""For the accountant: from Money to the files in a browser, and the demo's whole book told by its files alone."""

import io
from datetime import date
from pathlib import Path
from zipfile import ZipFile

import pytest
from click.testing import CliRunner
from playwright.sync_api import Browser
from sqlalchemy.orm import Session

from shopbook.cli import main
from shopbook.commands import report
from tests.journeys.demos import NOW, Built
from tests.journeys.hands import DESK, PHONE, Shop
from tests.queries.reports.accountant.recomputed import Files
from tests.queries.reports.accountant.test_recomputed import check_book, check_command

TODAY = date(2026, 11, 25)
"""The demo's Wednesday."""


@pytest.mark.browser
@pytest.mark.parametrize("size", [DESK, PHONE])
def test_the_owner_takes_the_tables_of_chosen_days(shop: Shop, browser: Browser, size: dict[str, int]) -> None:
    with shop.hand(browser, "Noor", size=size) as hand:
        hand.go("/money/")
        hand.begin_count()
        hand.follow("For the accountant")
        hand.arrives("/months/accountant")
        hand.fill("First day", "2026-11-30", exact=True)
        hand.fill("Last day", "2026-11-01", exact=True)
        hand.press("Show")
        hand.says("The last day is before the first.")
        assert hand.page.get_by_label("First day", exact=True).input_value() == "2026-11-30"
        hand.fill("First day", "2026-11-01", exact=True)
        hand.fill("Last day", "2026-11-30", exact=True)
        hand.press("Show")
        with hand.page.expect_download() as fetched:
            hand.follow("All in one file")
        assert fetched.value.suggested_filename == "accountant-2026-11-01-2026-11-30.zip"
        with ZipFile(io.BytesIO(Path(fetched.value.path()).read_bytes())) as packed:
            assert packed.testzip() is None
            assert packed.read("invoices.csv").startswith(b"\xef\xbb\xbfinvoice_id,")
        with hand.page.expect_download() as one:
            hand.follow("CSV: Payments")
        assert one.value.suggested_filename == "payments.csv"


def test_the_demo_is_told_by_its_files_as_by_page_paper_table_and_command(
    demo: Built, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    config, engine = demo
    files, packed = tmp_path / "files", tmp_path / "all.zip"
    files.mkdir()
    environment = {"SHOPBOOK_DATA": str(config.data_folder)}

    def run(*words: str) -> str:
        result = CliRunner().invoke(main, ["report", *words], env=environment, catch_exceptions=False)
        assert result.exit_code == 0, result.output
        return result.output

    run("accountant", "2000-01-01", TODAY.isoformat(), "--folder", str(files), "--zip", str(packed))
    with ZipFile(packed) as zipped:
        assert {name: zipped.read(name) for name in zipped.namelist()} == {
            path.name: path.read_bytes() for path in files.iterdir()
        }
    told = Files(files)
    with Session(engine) as session:
        check_book(session, told, TODAY)
        monkeypatch.setattr(report, "now", lambda: NOW)
        check_command(session, told, environment, TODAY)
