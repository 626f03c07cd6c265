"""The countries' files, each whole and each naming every panel."""

from dataclasses import replace
from zoneinfo import ZoneInfo

import pytest

from shopbook.trade.countries import Country, TaxAsks, in_currency, known_countries, known_country
from shopbook.trade.errors import NotFound


@pytest.mark.parametrize("country", known_countries(), ids=lambda country: country.code)
def test_every_country_is_whole(country: Country) -> None:
    assert all(ZoneInfo(zone) for zone in country.zones)
    assert country.paper_size in {"letter", "a4"}
    assert set(country.panels) == set(known_country("us").panels)
    assert set(country.units) == {"length", "area", "volume", "mass", "temperature", "distance", "film", "pressure"}
    shipped = [list(country.usual_taxes)] if country.usual_taxes else [[each.tax] for each in country.provinces]
    for taxes in shipped:
        kinds = [kind for tax in taxes for kind in tax.line_kinds]
        assert sorted(kinds) == sorted(["labour", "materials", "part", "colour", "sublet", "fee"])
    assert bool(country.usual_taxes) == (country.tax_asks is TaxAsks.NOTHING)
    assert bool(country.provinces) == (country.tax_asks is TaxAsks.PROVINCE)


def test_the_same_panel_is_a_hood_in_one_country_and_a_bonnet_in_another() -> None:
    assert (known_country("us").panel("bonnet"), known_country("gb").panel("bonnet")) == ("hood", "bonnet")


def test_a_country_in_its_own_currency_is_itself_and_in_another_only_its_money_differs() -> None:
    here = known_country("other")
    assert in_currency(here, "EUR") is here
    there = in_currency(here, "CHF")
    assert (there.currency, there.currency_symbol, there.currency_places) == ("CHF", "CHF ", 2)
    assert replace(there, currency="EUR", currency_symbol="€") == here


def test_a_country_without_a_file_is_not_found() -> None:
    with pytest.raises(NotFound):
        known_country("xx")
