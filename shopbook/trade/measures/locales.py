"""What the locale data (CLDR, by Babel) says of numbers, currencies, days and lists: the one module that asks Babel.

Babel is imported by the first call, not with the program: a start needs none of its data. Each answer is kept.
"""

import re
from collections.abc import Mapping, Sequence
from copy import copy
from datetime import date
from decimal import Decimal
from functools import cache, lru_cache
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from babel.core import Locale
    from babel.numbers import NumberPattern

ENGLISH = "en"
"""The language that the program speaks: its months, weekdays and lists, whatever marks a country's numbers have."""

_ANY_GROUP = re.compile(r"[\s'\u2019]+")
_APOSTROPHE = "'"
_LONGEST = 28
_POINT, _COMMA = "en", "de"
"""Locales of the two ways in which the world marks decimals; each has the other's mark between groups."""


class Marks(NamedTuple):
    """The decimal mark of a locale and the mark between its groups of figures."""

    decimal: str
    group: str


@cache
def _locale(name: str) -> "Locale":
    from babel.core import Locale

    return Locale.parse(name)


@cache
def marks_of(locale: str) -> Marks:
    """The marks of a locale's numbers."""
    from babel.numbers import get_decimal_symbol, get_group_symbol

    return Marks(get_decimal_symbol(_locale(locale)), get_group_symbol(_locale(locale)))


@cache
def _pattern(locale: str, places: int) -> "NumberPattern":
    pattern: NumberPattern = copy(_locale(locale).decimal_formats[None])
    pattern.frac_prec = (places, places)
    return pattern


@lru_cache(maxsize=4096)
def write_number(amount: Decimal, places: int, locale: str, *, is_grouped: bool = True) -> str:
    """A number of zero or more with exactly `places` decimals, as the locale writes it: "1,234.50", "1.234,50"."""
    marks = marks_of(locale)
    if marks.group == _APOSTROPHE:
        # Babel 2.19 takes a pair of apostrophes out of what it wrote: "1'234'567" comes back as "1234567".
        return write_number(amount, places, ENGLISH, is_grouped=is_grouped).replace(",", _APOSTROPHE)
    written: str = _pattern(locale, places).apply(amount, _locale(locale), group_separator=is_grouped)
    return written


def read_number(text: str, locale: str) -> Decimal | None:
    """Figures and marks as the locale writes them, strictly; None for anything else.

    Any space or apostrophe stands for the mark between groups, wherever the locale has one of its own: nobody finds
    the narrow space of France on a keyboard. Groups must be whole, and a mark that the locale does not use is no
    number of it: "85.50" is none in Germany, where a lenient reading makes it 8,550. Decimals stay as typed; more
    figures than are ever meant are no number.
    """
    from babel.numbers import NumberFormatError, parse_decimal

    marks = marks_of(locale)
    if marks.group == _APOSTROPHE:
        return None if "," in text else read_number(text, ENGLISH)
    plain = _ANY_GROUP.sub(marks.group, text)
    if not set(plain) <= {*"0123456789", *marks} or len(plain) > _LONGEST:
        return None
    try:
        return parse_decimal(plain, locale=_locale(locale), strict=True)
    except NumberFormatError:
        return None


def list_readings(text: str, locale: str) -> list[Decimal]:
    """Every number that figures and marks can be: in the locale's own way, then in the two that others have.

    Each once; where the own way reads them, it is the first (`read_number` says whether it does).
    """
    read = (read_number(text, way) for way in (locale, _POINT, _COMMA))
    return list(dict.fromkeys(each for each in read if each is not None))


@cache
def does_sign_follow(locale: str) -> bool:
    """Whether the locale writes a currency's sign behind the amount: "12,50 €"."""
    return str(_locale(locale).currency_formats["standard"].pattern).endswith("¤")


@cache
def currency_sign(code: str, locale: str) -> str:
    """The sign of a currency in the locale, or its code where it has none."""
    from babel.numbers import get_currency_symbol

    return get_currency_symbol(code, _locale(locale))


class Fractions(NamedTuple):
    """How a currency is divided: its decimals, those of a sum in cash, and the step of such a sum in its last one.

    A step of zero is one unit of the last decimal.
    """

    places: int
    cash_places: int
    cash_step: int


def fractions_of(code: str) -> Fractions:
    """The decimals and the smallest coins of a currency (CLDR, supplemental currencyData)."""
    from babel.core import get_global

    known: Mapping[str, tuple[int, int, int, int]] = get_global("currency_fractions")
    places, _, cash_places, cash_step = known.get(code) or known["DEFAULT"]
    return Fractions(places, cash_places, cash_step)


@cache
def month_names() -> tuple[str, ...]:
    """The twelve months, January first."""
    names = _locale(ENGLISH).months["format"]["wide"]
    return tuple(names[month] for month in range(1, 13))


@cache
def weekday_names() -> tuple[str, ...]:
    """The seven days of the week, Monday first."""
    names = _locale(ENGLISH).days["format"]["wide"]
    return tuple(names[weekday] for weekday in range(7))


@lru_cache(maxsize=4096)
def write_day(day: date, pattern: str) -> str:
    """A day by a pattern of the locale data ("d MMMM y")."""
    from babel.dates import format_date

    return format_date(day, pattern, locale=_locale(ENGLISH))


def write_list(words: Sequence[str]) -> str:
    """What is listed, as a sentence has it: "a", "a and b", "a, b and c" (English of the world, which the program's
    sentences follow: no comma before "and")."""
    from babel.lists import format_list

    return format_list(words, locale=_locale("en_001"))
