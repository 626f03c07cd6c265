"""A country is one file: a copy of the program with one file more has its papers, holidays, taxes and air limits."""

import json
import os
import shutil
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest

from shopbook.outside.holidays_of import public_holidays
from shopbook.trade.air.categories import Category, limit_of, topcoat_limit
from shopbook.trade.countries import known_countries, known_country, read_countries

pytestmark = pytest.mark.processes

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def invented(tmp_path: Path) -> str:
    """The text of an invented country's file: the United Kingdom's with another code, money, paper, tax, calendar and
    limit of its own."""
    text = (ROOT / "shopbook" / "trade" / "countries" / "gb.toml").read_text(encoding="utf-8")
    for was, now in (
        ('code = "gb"', 'code = "zz"'),
        ('name = "United Kingdom"', 'name = "Zubrowland"'),
        ('currency = "GBP"', 'currency = "NZD"'),
        ('paper_size = "a4"', 'paper_size = "letter"'),
        ('date_form = "day_first"', 'date_form = "year_first"'),
        ('name = "VAT"', 'name = "Tithe"'),
        ("rate_thousandths = 20000", "rate_thousandths = 10500"),
        ('calendar = "GB"', 'calendar = "NZ"'),
        ('language = "en_GB"', 'language = "en_NZ"'),
        ('rule = "Directive 2004/42/CE, annex II B, ready to use"', 'rule = "Rule 7 of Zubrowland"'),
        ("g_per_l = 540", "g_per_l = 333"),
    ):
        assert was in text, was
        text = text.replace(was, now)
    return text


def test_a_folder_with_one_file_is_a_country_with_its_holidays_taxes_and_limits(invented: str, tmp_path: Path) -> None:
    (tmp_path / "zz.toml").write_text(invented, encoding="utf-8")
    (country,) = read_countries(tmp_path)
    assert (country.code, country.currency, country.paper_size) == ("zz", "NZD", "letter")
    assert [(tax.name, tax.rate_thousandths) for tax in country.usual_taxes] == [("Tithe", 10_500), ("Outside VAT", 0)]
    assert public_holidays(country, date(2027, 2, 1), date(2027, 2, 7)) == {date(2027, 2, 6): "Waitangi Day"}
    limit = limit_of(Category.PRIMER, country.air_limits)
    assert limit is not None
    assert (limit.g_per_l, limit.rule) == (333, "Rule 7 of Zubrowland")


def test_a_copy_of_the_program_with_one_file_more_keeps_a_book_of_that_country(invented: str, tmp_path: Path) -> None:
    copy = tmp_path / "copy"
    for folder in ("shopbook", "migrations", "templates"):
        shutil.copytree(ROOT / folder, copy / folder, ignore=shutil.ignore_patterns("__pycache__"))
    (copy / "shopbook" / "trade" / "countries" / "zz.toml").write_text(invented, encoding="utf-8")
    command = [sys.executable, "-m", "tests.house.further_country", str(tmp_path / "book"), "zz"]
    environment = os.environ | {"PYTHONPATH": os.pathsep.join([str(copy), str(ROOT)]), "PYTHONDONTWRITEBYTECODE": "1"}
    done = subprocess.run(
        command, env=environment, cwd=copy, capture_output=True, text=True, encoding="utf-8", timeout=200, check=False
    )
    assert done.returncode == 0, done.stderr
    said = json.loads(done.stdout)
    assert said["program"] == str(copy / "shopbook")
    assert "Waitangi Day" in said["holidays"]
    assert "Tithe" in said["taxes"]
    assert "10.5" in said["taxes"]
    assert "333 g/L" in said["air"]
    assert "Rule 7 of Zubrowland" in said["air"]
    assert said["paper"] == [612, 792]
    assert "2026-11-05" in said["words"]
    assert "NZD" in said["words"]


def test_a_country_without_calendar_or_limits_has_none_and_never_anothers() -> None:
    australia, other = known_country("au"), known_country("other")
    assert australia.air_limits == ()
    assert limit_of(Category.PRIMER, australia.air_limits) is None
    assert topcoat_limit(0, australia.air_limits) is None
    assert public_holidays(other, date(2026, 1, 1), date(2026, 12, 31)) == {}


def test_only_the_united_states_weigh_a_topcoat_as_a_whole() -> None:
    """40 CFR 59.104(a)(2); from memory no other rule of ours does."""
    assert [country.code for country in known_countries() if topcoat_limit(0, country.air_limits)] == ["us"]
    limits = known_country("us").air_limits
    codes = [limit.code for midcoats in (0, 1, 2) if (limit := topcoat_limit(midcoats, limits))]
    assert codes == ["us_topcoat", "us_topcoat_three", "us_topcoat_three"]
