"""The one-time page: only with its code, only once, never with a default password."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from flask import Flask
from lxml import html
from sqlalchemy.orm import Session

from shopbook.app import create_app
from shopbook.config import Config
from shopbook.models.session import make_engine
from shopbook.queries.money.words import get_wording
from shopbook.queries.shop.book import get_book
from shopbook.queries.shop.rates import setting_on
from shopbook.trade.settings import SettingName
from shopbook.web.parts.act import db
from tests.clients import ShopClient, sentences
from tests.conftest import NOON

CODE = "abcd-efgh-jkmn"
ANSWERS = {
    "code": CODE,
    "country": "us",
    "shop_name": "Quarry Lane",
    "hour": "65.00",
    "owner_name": "Noor",
    "password": "red door by the lane",
    "zone": "America/Denver",
}


@pytest.fixture
def fresh(config: Config) -> Iterator[ShopClient]:
    """A browser on a book that nobody has started, its code in the data folder."""
    config.start_code_file.write_text(CODE, encoding="ascii")
    app: Flask = create_app(config, TESTING=True)
    client = ShopClient(app)
    with client.http.session_transaction() as kept:
        kept["csrf"] = "token"
    yield client
    with app.app_context():
        db.engine.dispose()


def test_everything_leads_to_the_start_until_there_is_a_book(fresh: ShopClient) -> None:
    for url in ("/", "/account", "/settings"):
        assert fresh.get(url).headers["Location"] == "/start"


@pytest.mark.parametrize("code", ["", "abcd", "abcd-efgh-jkmm", "аbcd-efgh-jkmn"])
def test_without_its_code_the_page_starts_nothing(fresh: ShopClient, code: str) -> None:
    assert fresh.get(f"/start?code={code}").status_code == 403
    answer = fresh.press("/start", **(ANSWERS | {"code": code}))
    assert answer.status_code == 403
    assert fresh.get("/").headers["Location"] == "/start"


def test_without_a_code_in_the_folder_no_code_fits(fresh: ShopClient, config: Config) -> None:
    config.start_code_file.unlink()
    assert fresh.press("/start", **(ANSWERS | {"code": ""})).status_code == 403


def test_three_answers_open_the_book_and_sign_the_owner_in(fresh: ShopClient, config: Config) -> None:
    assert "Three questions" in fresh.text(f"/start?code={CODE}")
    answer = fresh.press("/start", **ANSWERS)
    assert answer.status_code == 303
    assert not config.start_code_file.exists()
    assert "Noor" in fresh.text("/account")


def test_once_started_the_page_says_so(fresh: ShopClient, config: Config) -> None:
    fresh.press("/start", **ANSWERS)
    config.start_code_file.write_text(CODE, encoding="ascii")
    page = fresh.text(f"/start?code={CODE}")
    assert "already open" in page
    assert "/sign-in" in page
    with fresh.http.session_transaction() as kept:
        kept["csrf"] = "token"
    assert "already open" in fresh.press("/start", **(ANSWERS | {"owner_name": "Somebody else"})).text
    assert "Somebody else" not in fresh.text("/people")


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("shop_name", "  ", "Enter the shop&#39;s name"),
        ("shop_name", "x" * 500, "at most 200 characters"),
        ("hour", "", "Enter your hourly rate"),
        ("hour", "sixty", "Enter an amount, for example"),
        ("hour", "0", "above zero"),
        ("hour", "-5", "above zero"),
        ("hour", "9" * 30, "Enter an amount, for example"),
        ("hour", "9" * 13, "too large"),
        ("password", "short", "at least 10 characters"),
        ("owner_name", "", "Enter your name"),
        ("country", "moon", "Choose one from the list"),
        ("zone", "", "Choose your time zone."),
        ("zone", "America/Halifax", "Choose a time zone listed under United States."),
        ("zone", "Mars/Olympus", "Choose one from the list"),
    ],
)
def test_a_bad_answer_is_said_beside_its_question_and_the_rest_stays(
    fresh: ShopClient, field: str, typed: str, sentence: str
) -> None:
    answer = fresh.press("/start", **(ANSWERS | {field: typed}))
    assert answer.status_code == 422
    assert any(sentence in said for said in sentences(answer.text)), sentences(answer.text)
    if field != "shop_name":
        assert 'value="Quarry Lane"' in answer.text


def test_other_money_than_the_countrys_is_kept_and_written_everywhere(fresh: ShopClient, config: Config) -> None:
    answer = fresh.press(
        "/start", **(ANSWERS | {"country": "other", "zone": "Europe/Berlin", "currency": "sek", "hour": "900"})
    )
    assert answer.status_code == 303, sentences(answer.text)
    assert "SEK 9,720.00" in fresh.text("/jobs/kerb?panel=bonnet")
    assert "SEK 0.00" in fresh.text("/money/")
    engine = make_engine(config.database_url)
    with Session(engine) as session:
        assert get_book(session).currency == "SEK"
        assert get_wording(session).money(-5) == "\u2212SEK 0.05"
        assert setting_on(session, SettingName.MATERIALS_REFINISH_HOUR_MINOR, NOON.date()) == 60_000
        assert setting_on(session, SettingName.MATERIALS_PER_PAINT_HOUR_MINOR, NOON.date()) == 40_000
        assert setting_on(session, SettingName.MATERIALS_RULE, NOON.date()) == "shelf"
        assert setting_on(session, SettingName.MATERIALS_RULE_INSURER, NOON.date()) == "refinish_hour"
    engine.dispose()


def test_money_without_decimals_is_typed_and_written_without(fresh: ShopClient) -> None:
    typed = ANSWERS | {"country": "other", "zone": "Europe/Berlin", "currency": "JPY"}
    assert "no decimals" in " ".join(sentences(fresh.press("/start", **(typed | {"hour": "8000.50"})).text))
    assert fresh.press("/start", **(typed | {"hour": "8000"})).status_code == 303
    assert "¥86,400" in fresh.text("/jobs/kerb?panel=bonnet")


def test_what_is_no_currency_is_told_beside_it_alone(fresh: ShopClient) -> None:
    answer = fresh.press("/start", **(ANSWERS | {"currency": "kronor"}))
    assert answer.status_code == 422
    assert sentences(answer.text).count("Enter the three letters of the currency, for example EUR.") == 1
    assert "kronor" in answer.text


def test_a_country_of_several_zones_asks_which_and_keeps_the_answer(fresh: ShopClient, config: Config) -> None:
    page = html.fromstring(fresh.text(f"/start?code={CODE}"))
    assert page.xpath("//select[@name='zone']//option[@selected]/@value") == [""], "none is chosen silently"
    assert not page.xpath("//details//select[@name='zone']"), "the field stands in the form"
    assert fresh.press("/start", **ANSWERS).status_code == 303
    assert zone_of(config) == "America/Denver"


@pytest.mark.parametrize("left_over", ["", "America/Denver"])
def test_a_country_of_one_zone_asks_for_none(fresh: ShopClient, config: Config, left_over: str) -> None:
    """What was chosen for the country before, in a field that is hidden now, counts for nothing."""
    page = html.fromstring(fresh.text(f"/start?code={CODE}"))
    assert page.xpath("//option[@data-one-zone]/@value") == ["de", "ie", "gb"]
    assert fresh.press("/start", **(ANSWERS | {"country": "gb", "zone": left_over})).status_code == 303
    assert zone_of(config) == "Europe/London"


def zone_of(config: Config) -> str:
    engine = make_engine(config.database_url)
    with Session(engine) as session:
        zone = get_book(session).zone
    engine.dispose()
    return zone


def test_a_password_is_never_sent_back(fresh: ShopClient) -> None:
    answer = fresh.press("/start", **(ANSWERS | {"hour": "sixty"}))
    assert ANSWERS["password"] not in answer.text


def test_markup_in_the_shops_name_is_text(fresh: ShopClient) -> None:
    fresh.press("/start", **(ANSWERS | {"shop_name": "<script>alert(1)</script>"}))
    page = fresh.text("/settings")
    assert "<script>alert" not in page
    assert "&lt;script&gt;alert(1)" in page


def test_the_health_check_answers_before_there_is_a_book(fresh: ShopClient, book_file: Path) -> None:
    answer = fresh.get("/health")
    assert answer.status_code == 200
    assert answer.json is not None
    assert answer.json["ok"] is True
    assert re.fullmatch(r"\w+", answer.json["schema"])
