"""Up to which sum a paper needs no customer, by country: figures of the rules named in the countries’ files."""

import pytest

from shopbook.trade.billing.small_papers import SmallPapers
from shopbook.trade.countries import in_currency, known_country


def rule_of(code: str) -> SmallPapers:
    rule = known_country(code).own_small_papers
    assert rule is not None
    return rule


@pytest.mark.parametrize(
    ("code", "last_small", "first_large", "asks"),
    [
        ("gb", 250_00, 250_01, ("name", "address")),
        ("de", 250_00, 250_01, ("name", "address")),
        ("ie", 100_00, 100_01, ("name", "address")),
        ("ca", 499_99, 500_00, ("name",)),
        ("au", 999_99, 1_000_00, ("name",)),
    ],
)
def test_no_customer_is_needed_to_the_unit_of_the_published_limit(
    code: str, last_small: int, first_large: int, asks: tuple[str, ...]
) -> None:
    rule = rule_of(code)
    assert rule.missing(last_small, 2, {}) == ()
    assert rule.missing(first_large, 2, {}) == asks
    assert rule.missing(first_large, 2, {"name": "Ines Okafor", "address": "7 Harbour Row"}) == ()


def test_in_canada_number_and_tax_stand_on_the_paper_from_a_hundred_on() -> None:
    assert not rule_of("ca").wants_number(99_99, 2)
    assert rule_of("ca").wants_number(100_00, 2)
    assert rule_of("gb").wants_number(1, 2)


def test_in_germany_a_small_paper_needs_no_number_of_the_shop_and_in_ireland_it_does() -> None:
    """§ 33 UStDV leaves it out up to 250.00; Ireland's simplified invoice carries it from the first cent."""
    assert not rule_of("de").wants_number(250_00, 2)
    assert rule_of("de").wants_number(250_01, 2)
    assert rule_of("ie").wants_number(1, 2)


def test_an_address_of_blanks_is_none() -> None:
    assert rule_of("gb").missing(300_00, 2, {"name": "Ines Okafor", "address": " \n"}) == ("address",)


def test_a_limit_is_never_read_in_another_currency_and_each_rule_names_source_and_day() -> None:
    assert in_currency(known_country("gb"), "EUR").own_small_papers is None
    assert known_country("us").own_small_papers is None
    for code in ("gb", "ca", "au", "de", "ie"):
        assert rule_of(code).source
        assert rule_of(code).read_on.year == 2026
