"""44 spellings of an amount in the books of six locales: read as meant, asked about, or refused; never read leniently.

The rule stands in `trade/measures/amounts.py: parse_minor` and in DEVELOPERS.md. Pages show
1,234.56 in a book of the United States or United Kingdom, 1.234,56 in Germany, 1 234,56 in France or Sweden, and
1'234.56 in Switzerland.
"""

import pytest
from babel.numbers import parse_decimal

from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.amounts import format_minor, minor_for_field, parse_minor

Outcome = int | str
LOCALES = ("en_US", "en_GB", "de_DE", "fr_FR", "de_CH", "sv_SE")
NO_AMOUNT, TOO_FINE = "Enter an amount, for example", "Enter an amount with at most 2 decimals"
NARROW, HARD, CURLY, MINUS = "\u202f", "\u00a0", "\u2019", "\u2212"


def asks(text: str, either: str, other: str) -> str:
    return f"{text} could be {either} or {other}. Enter the one you mean, with "


EVERYWHERE: dict[str, Outcome] = {
    "12": 1200,
    "+12": 1200,
    "12.5": 1250,
    "12,5": 1250,
    "12.50": 1250,
    "12,50": 1250,
    "-12,5": -1250,
    f"{MINUS}12.50": -1250,
    "0.5": 50,
    "0,5": 50,
    "85.50": 8550,
    "85,50": 8550,
    "1234.5": 123_450,
    "1234,5": 123_450,
    "1 234": 123_400,
    f"1{NARROW}234": 123_400,
    "1'234": 123_400,
    f"1{CURLY}234": 123_400,
    "1,234.56": 123_456,
    "1.234,56": 123_456,
    "1 234,56": 123_456,
    "1 234.56": 123_456,
    f"1{HARD}234,56": 123_456,
    "1'234.56": 123_456,
    f"1{CURLY}234,56": 123_456,
    "12,345,678.9": 1_234_567_890,
    "12.345.678,9": 1_234_567_890,
    "12 345 678": 1_234_567_800,
    "1'234'567.50": 123_456_750,
    "1.234.567": 123_456_700,
    "0,123": TOO_FINE,
    "1,2345": TOO_FINE,
    "1,25,000": NO_AMOUNT,
    "12 50": NO_AMOUNT,
    "12.5.0": NO_AMOUNT,
    "1e3": NO_AMOUNT,
    "1_000": NO_AMOUNT,
    ".5": NO_AMOUNT,
    "£12": NO_AMOUNT,
}
BY_BOOK: dict[str, tuple[Outcome, Outcome, Outcome, Outcome, Outcome]] = {
    "1,234": (
        123_400,
        asks("1,234", "1,23", "1.234,00"),
        asks("1,234", "1,23", f"1{NARROW}234,00"),
        asks("1,234", "1'234.00", "1.23"),
        asks("1,234", "1,23", f"1{HARD}234,00"),
    ),
    "1.234": (
        asks("1.234", "1.23", "1,234.00"),
        123_400,
        asks("1.234", "1,23", f"1{NARROW}234,00"),
        asks("1.234", "1.23", "1'234.00"),
        asks("1.234", "1,23", f"1{HARD}234,00"),
    ),
    "1,000": (
        100_000,
        asks("1,000", "1,00", "1.000,00"),
        asks("1,000", "1,00", f"1{NARROW}000,00"),
        asks("1,000", "1'000.00", "1.00"),
        asks("1,000", "1,00", f"1{HARD}000,00"),
    ),
    "12,500": (
        1_250_000,
        asks("12,500", "12,50", "12.500,00"),
        asks("12,500", "12,50", f"12{NARROW}500,00"),
        asks("12,500", "12'500.00", "12.50"),
        asks("12,500", "12,50", f"12{HARD}500,00"),
    ),
    "12.500": (
        asks("12.500", "12.50", "12,500.00"),
        1_250_000,
        asks("12.500", "12,50", f"12{NARROW}500,00"),
        asks("12.500", "12.50", "12'500.00"),
        asks("12.500", "12,50", f"12{HARD}500,00"),
    ),
}
TABLE = [(text, locale, outcome) for text, outcome in EVERYWHERE.items() for locale in LOCALES] + [
    (text, locale, outcome)
    for text, outcomes in BY_BOOK.items()
    for locale, outcome in zip(LOCALES, (outcomes[0], *outcomes), strict=True)
]


@pytest.mark.parametrize(("text", "locale", "outcome"), TABLE)
def test_an_amount_is_read_as_it_can_only_be_meant_or_the_question_names_both_readings(
    text: str, locale: str, outcome: Outcome
) -> None:
    if isinstance(outcome, int):
        assert parse_minor(text, locale=locale) == outcome
        return
    with pytest.raises(RuleBroken) as refused:
        parse_minor(text, locale=locale, field="price")
    assert refused.value.field == "price"
    assert refused.value.sentence.startswith(outcome)


def test_every_locale_meets_more_than_forty_spellings() -> None:
    assert {locale: sum(row[1] == locale for row in TABLE) for locale in LOCALES} == dict.fromkeys(LOCALES, 44)


def test_the_lenient_reading_that_is_never_used_would_make_a_hundred_times_more_of_it() -> None:
    """A point typed in a German book: 8,550.00 for a lenient reader."""
    assert parse_decimal("85.50", locale="de_DE") * 100 == 855_000
    assert parse_minor("85.50", locale="de_DE") == 8550
    assert format_minor(8550, locale="de_DE") == "85,50"


@pytest.mark.parametrize(
    ("text", "places", "locale", "outcome"),
    [
        ("1,250", 0, "en_US", 1250),
        ("1.250", 0, "en_US", asks("1.250", "1", "1,250")),
        ("12.5", 0, "en_US", "Enter an amount with no decimals"),
        ("1.234", 3, "en_US", 1234),
        ("1,234", 3, "en_US", asks("1,234", "1,234.000", "1.234")),
        ("1,234", 3, "fr_FR", 1234),
        ("1.234", 3, "fr_FR", asks("1.234", "1,234", f"1{NARROW}234,000")),
        ("12,34,567.50", 2, "en_IN", 123_456_750),
    ],
)
def test_what_can_be_meant_depends_on_the_decimals_of_the_money(
    text: str, places: int, locale: str, outcome: Outcome
) -> None:
    """A dinar of three decimals printed as 1.234 is typed back so; a forint has none to type."""
    if isinstance(outcome, int):
        assert parse_minor(text, places, locale=locale) == outcome
        return
    with pytest.raises(RuleBroken) as refused:
        parse_minor(text, places, locale=locale)
    assert refused.value.sentence.startswith(outcome)
    assert refused.value.sentence.endswith(f" {places} figures after the decimal mark." if places else ".")


@pytest.mark.parametrize("locale", [*LOCALES, "en_IN"])
@pytest.mark.parametrize("places", [0, 2, 3])
@pytest.mark.parametrize("minor", [0, 5, -5, 1234, 99_999, 1_234_567, -123_456_789, 10**13])
def test_what_a_book_prints_is_typed_back_as_the_same_amount(minor: int, places: int, locale: str) -> None:
    assert parse_minor(format_minor(minor, places, locale=locale), places, locale=locale) == minor
    assert parse_minor(minor_for_field(minor, places, locale), places, locale=locale) == minor


@pytest.mark.parametrize(
    ("locale", "symbol", "words"),
    [
        ("en_US", "$", "−$1,234,567.50"),
        ("en_GB", "£", "−£1,234,567.50"),
        ("en_001", "€", "−€1,234,567.50"),
        ("de_DE", "€", f"−1.234.567,50{HARD}€"),
        ("fr_FR", "€", f"−1{NARROW}234{NARROW}567,50{HARD}€"),
        ("sv_SE", "kr", f"−1{HARD}234{HARD}567,50{HARD}kr"),
        ("de_CH", "CHF ", "−CHF 1'234'567.50"),
        ("en_IN", "₹", "−₹12,34,567.50"),
    ],
)
def test_an_amount_is_written_with_the_marks_and_the_place_of_the_sign_of_its_locale(
    locale: str, symbol: str, words: str
) -> None:
    assert format_minor(-123_456_750, 2, symbol, locale) == words
