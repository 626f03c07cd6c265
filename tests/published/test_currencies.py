"""Decimals of currencies as CLDR 48 (supplemental currencyData, cldr-core 48.2.0) has them."""

import pytest
from babel.core import get_global

from shopbook.trade.countries import known_countries
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.currencies import cash_step_minor, check_currency, currency_places, currency_symbol


@pytest.mark.parametrize(
    ("places", "codes"),
    [
        (2, ["USD", "EUR", "GBP", "CHF", "CAD"]),
        (0, ["JPY", "KRW", "CLP", "ISK", "VND", "HUF", "IDR", "COP"]),
        (3, ["KWD", "BHD", "TND"]),
    ],
)
def test_decimals_are_those_of_the_locale_data(places: int, codes: list[str]) -> None:
    """CLDR 48 currencyData, `_digits`."""
    assert {currency_places(code) for code in codes} == {places}


def test_small_coins_are_gone_where_the_locale_data_says_so() -> None:
    """CLDR 48 currencyData: `_cashRounding` of 5 for CHF and CAD, none for USD and EUR."""
    assert [cash_step_minor(code) for code in ("CHF", "CAD", "USD", "EUR")] == [5, 5, 1, 1]


@pytest.mark.parametrize(
    ("code", "step"), [("DKK", 50), ("HUF", 5), ("SEK", 100), ("NOK", 100), ("CZK", 100), ("JPY", 1), ("KWD", 1)]
)
def test_cash_comes_in_steps_of_the_smallest_coin_that_the_locale_data_know(code: str, step: int) -> None:
    """CLDR 48, supplemental currencyData: cashRounding 50 of DKK and 5 of HUF, cashDigits 0 of SEK, NOK and CZK."""
    assert cash_step_minor(code) == step


def test_the_steps_that_the_locale_data_lack_are_ours() -> None:
    """From memory: Australia withdrew its 1 and 2 cent coins in 1992 (Reserve Bank of Australia), New Zealand its 5
    cent coin in 2006 (Reserve Bank of New Zealand)."""
    assert [cash_step_minor(code) for code in ("AUD", "NZD")] == [5, 10]
    assert {"AUD", "NZD"}.isdisjoint(get_global("currency_fractions"))


@pytest.mark.parametrize(
    ("code", "sign"),
    [("USD", "$"), ("CAD", "$"), ("AUD", "$"), ("NZD", "$"), ("JPY", "¥"), ("EUR", "€"), ("GBP", "£"), ("CHF", "CHF ")],
)
def test_a_book_of_one_currency_writes_its_sign_without_the_letters_of_its_country(code: str, sign: str) -> None:
    """CLDR 48, narrow signs of currencies."""
    assert {currency_symbol(code, country.locale) for country in known_countries()} == {sign}


def test_the_countries_write_their_money_with_the_pinned_decimals_and_signs() -> None:
    """CLDR 48 currencyData, as `measures/currencies.py` has it."""
    for country in known_countries():
        assert country.currency_places == currency_places(country.currency)
        assert country.currency_symbol.strip() == currency_symbol(country.currency).strip()


@pytest.mark.parametrize("typed", ["", "EU", "EURO", "12€", "ÄÖÜ"])
def test_what_cannot_be_a_currency_is_refused(typed: str) -> None:
    """ISO 4217: a currency is three letters of the alphabet from A to Z."""
    with pytest.raises(RuleBroken, match="three letters"):
        check_currency(typed)
    assert check_currency(" eur ") == "EUR"
