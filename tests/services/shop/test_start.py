"""The first run as a service: what three answers make of an empty book."""

from collections.abc import Iterator
from datetime import date, datetime
from pathlib import Path

import pytest
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.session import WRITES, make_engine
from shopbook.models.shelf import Material, Movement
from shopbook.queries.reports.checklist import list_to_see
from shopbook.queries.shop.book import country_of, get_book, get_units, list_last_numbers, list_places
from shopbook.queries.shop.opening import opening_hours_on
from shopbook.queries.shop.people import get_actor
from shopbook.queries.shop.rates import catalogue_on, labour_rates_on, settings_on, tax_rates_on
from shopbook.services.act import Act
from shopbook.services.shop.rates import confirm_taxes
from shopbook.services.shop.start import FirstAnswers, start_book
from shopbook.trade.billing.deposits import DepositRule
from shopbook.trade.countries import known_countries, known_country
from shopbook.trade.errors import Conflict, RuleBroken
from shopbook.trade.measures.units import Unit
from shopbook.trade.permissions import THE_PROGRAM, Role
from shopbook.trade.settings import SettingName

TODAY = date(2026, 11, 5)


def answers(**given: object) -> FirstAnswers:
    defaults = {
        "country": "us",
        "shop_name": "Quarry Lane",
        "hour_minor": 6500,
        "owner_name": "Noor",
        "password_hash": "hash",
        "zone": known_country(str(given.get("country", "us"))).zones[0],
    }
    return FirstAnswers(**(defaults | given))  # type: ignore[arg-type]


@pytest.fixture
def unstarted(book_file: Path) -> Iterator[Session]:
    """A session that writes on a book whose questions nobody has answered."""
    engine = make_engine(f"sqlite:///{book_file}")
    with Session(engine) as opened:
        opened.connection(execution_options={WRITES: True})
        yield opened
        opened.rollback()
    engine.dispose()


def test_three_answers_make_a_whole_book(unstarted: Session, now: datetime) -> None:
    owner = start_book(Act(unstarted, THE_PROGRAM, now), answers())
    book = get_book(unstarted)
    assert (book.currency, book.zone, book.paper_size) == ("USD", "America/New_York", "letter")
    assert get_actor(unstarted, owner.id).roles == set(Role)
    assert labour_rates_on(unstarted, TODAY) == {(skill, "any"): 6500 for skill in ("body", "paint", "detail")}
    assert [place.name for place in list_places(unstarted)] == ["Bay 1", "Bay 2", "Lot"]
    assert list_last_numbers(unstarted)["invoice"] == 0


def test_usual_taxes_are_guesses_until_somebody_confirms_them(unstarted: Session, now: datetime) -> None:
    start_book(Act(unstarted, THE_PROGRAM, now), answers(country="gb"))
    taxes = tax_rates_on(unstarted, TODAY)
    assert [row.words for row in list_to_see(unstarted, "2026-11", now)] == ["Tax rates are still our guess"]
    assert {tax.code: tax.rate_thousandths for tax in taxes} == {"none": 0, "vat": 20000}
    assert all(tax.source and tax.read_on for tax in taxes)
    assert not any(tax.is_confirmed for tax in taxes)
    kinds = [kind for tax in taxes for kind in tax.line_kinds]
    assert len(kinds) == len(set(kinds)) == 6
    confirm_taxes(Act(unstarted, THE_PROGRAM, now), TODAY)
    assert list_to_see(unstarted, "2026-11", now) == []


@pytest.mark.parametrize("country", ["us", "ca"])
def test_where_the_tax_is_asked_no_rate_of_ours_is_in_the_book(unstarted: Session, now: datetime, country: str) -> None:
    start_book(Act(unstarted, THE_PROGRAM, now), answers(country=country))
    assert tax_rates_on(unstarted, TODAY) == []


def test_an_irish_shop_begins_with_one_rate_for_the_repair(unstarted: Session, now: datetime) -> None:
    """13.5 % for labour and parts alike, to confirm; 23 % stands ready for accessories, tyres and batteries."""
    start_book(Act(unstarted, THE_PROGRAM, now), answers(country="ie"))
    held = {tax.code: (tax.rate_thousandths, len(tax.line_kinds)) for tax in tax_rates_on(unstarted, TODAY)}
    assert held == {"vat": (13500, 6), "vat_goods": (23000, 0)}


def test_materials_are_guesses_without_stock_and_colour_has_no_stock_row(unstarted: Session, now: datetime) -> None:
    start_book(Act(unstarted, THE_PROGRAM, now), answers())
    materials = unstarted.scalars(select(Material)).all()
    assert len(materials) > 30
    assert all(material.is_guess and not material.is_counted for material in materials)
    assert sum(abs(material.on_hand_thousandths) + abs(material.value_minor) for material in materials) == 0
    assert "colour" not in {material.role for material in materials}
    assert unstarted.scalar(select(func.count()).select_from(Movement)) == 0


def test_a_book_is_started_once(unstarted: Session, now: datetime) -> None:
    start_book(Act(unstarted, THE_PROGRAM, now), answers())
    with pytest.raises(Conflict):
        start_book(Act(unstarted, THE_PROGRAM, now), answers(owner_name="Somebody else"))


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"shop_name": "  "}, "shop_name"),
        ({"hour_minor": 0}, "hour"),
        ({"hour_minor": -1}, "hour"),
        ({"zone": "Europe/London"}, "zone"),
        ({"zone": ""}, "zone"),
        ({"owner_name": " "}, "name"),
    ],
)
def test_a_bad_answer_is_refused_beside_its_question(
    unstarted: Session, now: datetime, given: dict[str, object], field: str
) -> None:
    with pytest.raises(RuleBroken) as broken:
        start_book(Act(unstarted, THE_PROGRAM, now), answers(**given))
    assert broken.value.field == field


@pytest.mark.parametrize("code", [country.code for country in known_countries()])
def test_every_country_on_the_list_can_be_started_in(unstarted: Session, now: datetime, code: str) -> None:
    start_book(Act(unstarted, THE_PROGRAM, now), answers(country=code, zone=known_country(code).zones[-1]))
    units = get_units(unstarted)
    assert units.shown(Unit.C) in (Unit.C, Unit.F)
    assert opening_hours_on(unstarted, TODAY).is_working_day(TODAY)
    held = settings_on(unstarted, TODAY)[SettingName.DEPOSIT_TREATMENT]
    assert held in {DepositRule.HELD, DepositRule.TAXED_WHEN_TAKEN}


def test_money_for_a_known_repair_is_taxed_when_taken_where_there_is_vat(unstarted: Session, now: datetime) -> None:
    """EU Directive 2006/112 Art. 65; UK VAT Act 1994 s. 6(4)."""
    start_book(Act(unstarted, THE_PROGRAM, now), answers(country="gb"))
    assert settings_on(unstarted, TODAY)[SettingName.DEPOSIT_TREATMENT] == DepositRule.TAXED_WHEN_TAKEN


def test_a_name_in_any_script_is_kept_as_typed(unstarted: Session, now: datetime) -> None:
    start_book(Act(unstarted, THE_PROGRAM, now), answers(shop_name="صالة <b>الطلاء</b>  & Söhne"))
    assert get_book(unstarted).shop_name == "صالة <b>الطلاء</b> & Söhne"


@pytest.mark.parametrize(("currency", "places", "words"), [("HUF", 0, "HUF 1,250"), ("KWD", 3, "KWD 1.250")])
def test_a_book_keeps_the_decimals_that_its_money_had_at_the_start(
    unstarted: Session, now: datetime, currency: str, places: int, words: str
) -> None:
    start_book(Act(unstarted, THE_PROGRAM, now), answers(country="other", currency=currency))
    book = get_book(unstarted)
    assert book.currency_places == places
    assert country_of(book).money(1250) == words


def test_a_later_list_of_currencies_moves_no_stored_amount(unstarted: Session, now: datetime) -> None:
    """A book of forints begun when they had two decimals: 125000 stays 1,250.00, though CLDR 48 has none."""
    start_book(Act(unstarted, THE_PROGRAM, now), answers(country="other", currency="HUF"))
    book = get_book(unstarted)
    book.currency_places = 2
    assert country_of(book).money(125_000) == "HUF 1,250.00"
    assert country_of(book).read_money("1,250.50") == 125_050


@pytest.mark.parametrize(("country", "step"), [("us", 0), ("ca", 5), ("gb", 0)])
def test_cash_is_rounded_from_the_first_day_where_the_small_coin_is_gone(
    unstarted: Session, now: datetime, country: str, step: int
) -> None:
    """CLDR 48: a cash rounding of 5 for CAD, none for USD and GBP."""
    start_book(Act(unstarted, THE_PROGRAM, now), answers(country=country))
    assert settings_on(unstarted, TODAY)[SettingName.CASH_ROUNDING_MINOR] == step


@pytest.mark.parametrize(("country", "clear", "matt"), [("us", "Clear coat", "Matte"), ("gb", "Lacquer", "Matt")])
def test_the_shelf_and_the_catalogue_of_a_new_book_speak_its_country(
    unstarted: Session, now: datetime, country: str, clear: str, matt: str
) -> None:
    start_book(Act(unstarted, THE_PROGRAM, now), answers(country=country))
    shelf = {one.role: one.name for one in unstarted.scalars(select(Material))}
    assert (shelf["clear"], shelf["matt_clear"]) == (clear, f"{matt} {clear.lower()}")
    assert catalogue_on(unstarted, TODAY).mixes["clear_medium"].name == clear


@pytest.mark.parametrize(
    ("country", "base", "is_water"),
    [
        ("gb", "", 1),
        ("ie", "", 1),
        ("ca", "", 1),
        ("us", "", 0),
        ("other", "", 0),
        ("us", "water", 1),
        ("gb", "solvent", 0),
    ],
)
def test_waterborne_base_is_usual_where_the_law_leaves_nothing_else_and_asked_elsewhere(
    unstarted: Session, now: datetime, country: str, base: str, is_water: int
) -> None:
    start_book(Act(unstarted, THE_PROGRAM, now), answers(country=country, base=base))
    assert catalogue_on(unstarted, TODAY).numbers["base_is_water"].value == is_water
