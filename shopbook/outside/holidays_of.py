"""Public holidays of a country as the general `holidays` library knows them; offered to the shop, never imposed."""

from datetime import date

import holidays

from shopbook.trade.countries import Country


def public_holidays(country: Country, first: date, last: date) -> dict[date, str]:
    """Nationwide public holidays from `first` to `last`, by day; nothing for a country whose file names no calendar."""
    told = country.holidays
    if not told.calendar:
        return {}
    years = range(first.year, last.year + 1)
    known = holidays.country_holidays(told.calendar, years=years, language=told.language or None)
    return {day: str(name) for day, name in sorted(known.items()) if first <= day <= last}
