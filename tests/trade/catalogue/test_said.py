"""A catalogue is said in the words of its country: the same file, the same figures, other words."""

import re
import tomllib
from dataclasses import fields
from datetime import date
from typing import Any

import pytest

from shopbook.trade.catalogue.entries import Entry
from shopbook.trade.catalogue.figures import WORDS, figures_of
from shopbook.trade.catalogue.reading import TABLES, EditedRow, overlay, own_catalogue, shipped_text
from shopbook.trade.catalogue.releases import name_release, own_release
from shopbook.trade.countries import known_countries

DAY = date(2026, 11, 30)
COUNTRIES = [country.code for country in known_countries()]


def entries(country: str) -> list[tuple[str, Entry]]:
    catalogue = own_catalogue(country)
    return [(table, entry) for table in TABLES.values() for entry in getattr(catalogue, table).values()]


def words(entry: Entry) -> list[str]:
    found: list[str] = []
    for each in fields(entry):
        value: Any = getattr(entry, each.name)
        if each.name in WORDS and not isinstance(value, bool):
            found += [value] if isinstance(value, str) else list(value)
    return found


@pytest.mark.parametrize(
    ("country", "clear", "matt", "primer", "stage"),
    [
        ("us", "Clear coat", "Matte clear coat", "Primer surfacer", "Guide coat and block"),
        ("gb", "Lacquer", "Matt lacquer", "High-build primer", "Guide coat and flat"),
        ("au", "Clear", "Matt clear", "High-build primer", "Guide coat and flat"),
        ("ca", "Clear coat", "Matte clear coat", "Primer surfacer", "Guide coat and block"),
    ],
)
def test_one_catalogue_says_clear_coat_in_the_united_states_and_lacquer_in_britain(
    country: str, clear: str, matt: str, primer: str, stage: str
) -> None:
    said = own_catalogue(country)
    assert said.materials["clear"].name == said.mixes["clear_medium"].name == clear
    assert said.mixes["clear_matt"].name == matt
    assert said.materials["surfacer"].name == primer
    assert said.stages["block"].name == stage


def test_colour_aluminium_and_thinners_are_spelled_as_the_country_does() -> None:
    us, gb = own_catalogue("us"), own_catalogue("gb")
    assert (us.stages["colour"].name, gb.stages["colour"].name) == (
        "Check the color against the car",
        "Check the colour against the car",
    )
    assert us.factors["alloy"].reason.startswith("aluminum ")
    assert gb.factors["alloy"].reason.startswith("aluminium ")
    assert (us.materials["base_reducer"].name, gb.materials["base_reducer"].name) == ("Base reducer", "Base thinners")
    assert "aluminum dust" in us.cautions["alloy_dust"].text
    assert us.materials["disc_p80"].name == "Sanding discs 6 in, P80"


@pytest.mark.parametrize("country", COUNTRIES)
def test_no_country_leaves_a_key_unsaid(country: str) -> None:
    for table, entry in entries(country):
        for said in words(entry):
            assert not re.search(r"[{}]", said), f"{table} {entry.code}: {said}"


@pytest.mark.parametrize("country", COUNTRIES)
def test_figures_and_the_name_of_the_release_are_the_same_in_every_country(country: str) -> None:
    assert name_release(own_catalogue(country)) == own_release()
    for (_, here), (_, there) in zip(entries(country), entries("gb"), strict=True):
        assert figures_of(here) == figures_of(there)


def test_a_caution_has_one_title_in_every_country_so_that_a_form_may_name_it() -> None:
    titles = {tuple(each.title for each in own_catalogue(code).cautions.values()) for code in COUNTRIES}
    assert len(titles) == 1


def test_what_the_shop_typed_is_never_reworded() -> None:
    name = "Our {clear} of the day"
    row = EditedRow("stage", "polish", DAY, {"name": name, "order": 190, "skill": "paint"})
    assert overlay(own_catalogue("us"), [row], DAY).stages["polish"].name == name


def test_words_that_differ_are_keys_in_the_file_and_not_typed() -> None:
    typed = r"\b(colou?r|labou?r|gr[ae]y|alumini?um|lacquer|matte?|vapou?r|neighbou?r|thinners?|reducer|tyre|tire)\b"
    told = tomllib.loads(shipped_text())
    found = [
        (kind, code, name)
        for kind, rows in told.items()
        if isinstance(rows, dict)
        for code, body in rows.items()
        for name, value in body.items()
        if name in WORDS and re.search(typed, re.sub(r"\{\w+\}", "", str(value)), re.IGNORECASE)
    ]
    assert found == []
