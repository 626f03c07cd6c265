"""Public holidays of a country as the general `holidays` library knows them; offered to the shop, never imposed."""

from datetime import date

import holidays

KNOWN = {"us": "US", "ca": "CA", "gb": "GB", "ie": "IE", "au": "AU"}
_LANGUAGES = {"us": "en_US", "ca": "en_CA", "gb": "en_GB", "au": "en_AU"}


def public_holidays(country: str, first: date, last: date) -> dict[date, str]:
    """Nationwide public holidays from `first` to `last`, by day; nothing for a country that is not known."""
    code = KNOWN.get(country)
    if code is None:
        return {}
    known = holidays.country_holidays(code, years=range(first.year, last.year + 1), language=_LANGUAGES.get(country))
    return {day: str(name) for day, name in sorted(known.items()) if first <= day <= last}
