"""Decimals, signs and smallest coins of currencies, for a new book: a started one keeps its decimals in its own row."""

from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.locales import ENGLISH, currency_sign, fractions_of

_HOME_SIGNS = {"AUD": "$", "CAD": "$", "JPY": "¥", "NZD": "$", "USD": "$"}
"""A book has one currency: the letters that tell this dollar or yen from another's (CA$, US$, JP¥) are left out."""

_CASH_STEPS = {"AUD": 5, "NZD": 10}
"""What the locale data lack. Australia withdrew its 1 and 2 cent coins in 1992 (Reserve Bank of Australia), New Zealand
its 5 cent coin in 2006 (Reserve Bank of New Zealand): from memory, the shop can set another."""


def check_currency(code: str) -> str:
    """A three-letter currency code in capitals; RuleBroken for anything that cannot be one."""
    plain = code.strip().upper()
    if len(plain) != 3 or not (plain.isascii() and plain.isalpha()):
        raise RuleBroken("Enter the three letters of the currency, for example EUR.", "currency")
    return plain


def currency_places(code: str) -> int:
    """Decimals that the currency is written with today, by the locale data (CLDR, supplemental currencyData).

    Of a started book ask its row: HUF, IDR and COP have none there and 2 elsewhere, and what is stored must not move.
    """
    return fractions_of(check_currency(code)).places


def currency_symbol(code: str, locale: str = ENGLISH) -> str:
    """The sign of an amount: the locale's, else that of English; the code itself and a space where none is usual."""
    plain = check_currency(code)
    sign = _HOME_SIGNS.get(plain) or currency_sign(plain, locale)
    # Australia's data have the code of every money but its own.
    sign = currency_sign(plain, ENGLISH) if sign == plain else sign
    return f"{sign} " if sign[-1].isalpha() else sign


def cash_step_minor(code: str) -> int:
    """The smallest sum that cash can pay, in minor units: 1 unless small coins are gone.

    By the locale data (cashRounding and cashDigits): CHF and CAD 0.05, DKK 0.50, HUF 5, SEK, NOK and CZK 1.00.
    """
    plain = check_currency(code)
    known = fractions_of(plain)
    return _CASH_STEPS.get(plain) or max(known.cash_step, 1) * 10 ** (known.places - known.cash_places)
