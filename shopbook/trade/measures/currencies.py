"""Decimals and smallest coins of currencies, pinned here: libraries disagree and an upgrade must not move a sum."""

from shopbook.trade.errors import RuleBroken

_PLACES = {
    **dict.fromkeys(("CLP", "COP", "HUF", "IDR", "ISK", "JPY", "KRW", "PYG", "UGX", "VND", "XAF", "XOF", "XPF"), 0),
    **dict.fromkeys(("BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"), 3),
}
_OFTEN = {"AUD": "$", "CAD": "$", "CHF": "CHF ", "EUR": "€", "GBP": "£", "JPY": "¥", "NZD": "$", "USD": "$"}
_CASH_STEPS = {"AUD": 5, "CAD": 5, "CHF": 5, "NZD": 10}


def check_currency(code: str) -> str:
    """A three-letter currency code in capitals; RuleBroken for anything that cannot be one."""
    plain = code.strip().upper()
    if len(plain) != 3 or not (plain.isascii() and plain.isalpha()):
        raise RuleBroken("Type the currency as its three letters, such as EUR.", "currency")
    return plain


def currency_places(code: str) -> int:
    """Decimals that the currency is written with: 2 unless pinned otherwise.

    Source: CLDR 48, supplemental currencyData. HUF, IDR and COP are 0 there and 2 elsewhere: 0 is kept.
    """
    return _PLACES.get(check_currency(code), 2)


def currency_symbol(code: str) -> str:
    """The sign set before an amount; the code itself and a space where no sign is usual."""
    plain = check_currency(code)
    return _OFTEN.get(plain, f"{plain} ")


def cash_step_minor(code: str) -> int:
    """The smallest sum that cash can pay, in minor units: 1 unless small coins are gone.

    CHF and CAD from CLDR 48 (cashRounding 5); AUD and NZD from memory; the shop can set another.
    """
    return _CASH_STEPS.get(check_currency(code), 1)
