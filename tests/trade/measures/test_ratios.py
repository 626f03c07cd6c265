"""A ratio as it stands on a tin: read, said, and each share of the whole by hand."""

from fractions import Fraction

import pytest

from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.ratios import Additive, Part, PercentOf, parse_ratio, recipe_of


@pytest.mark.parametrize(
    ("percent_of", "added"),
    [(PercentOf.PAINT, Fraction(4, 10)), (PercentOf.MIXED, Fraction(6, 10)), (PercentOf.FINAL, Fraction(6, 9))],
)
def test_ten_percent_more_is_of_the_paint_of_what_was_mixed_or_of_the_whole(
    percent_of: PercentOf, added: Fraction
) -> None:
    """4:1:1 is 6 parts; a tenth of 4 is 0.4, of 6 is 0.6, and of the whole 6⅔ it is ⅔."""
    assert parse_ratio("4:1:1 + 10 %", percent_of=percent_of).volumes == (4, 1, 1, added)


def test_what_is_poured_beyond_the_names_given_is_numbered() -> None:
    assert parse_ratio("4:1:1:½ + 5 %").names == ("paint", "hardener", "reducer", "part 4", "part 5")


@pytest.mark.parametrize(("typed", "said"), [("4:1:0.5+10%", "4 : 1 : ½ + 10 %"), ("1½:1", "1½ : 1")])
def test_a_ratio_is_said_as_painters_write_it(typed: str, said: str) -> None:
    assert parse_ratio(typed).words == said


def mixed(part: str = "1", percent: str = "0", percent_of: PercentOf = PercentOf.MIXED, density: float = 1.0) -> None:
    recipe_of(
        [Part("paint", Fraction(1)), Part("hardener", Fraction(part), density)],
        [Additive("reducer", Fraction(percent), percent_of)],
    )


@pytest.mark.parametrize(
    "edge",
    [
        {"part": "0"},
        {"part": "1000"},
        {"percent": "1000"},
        {"percent": "99.9", "percent_of": PercentOf.FINAL},
        {"density": 0.3},
        {"density": 5.0},
    ],
)
def test_the_least_and_the_most_of_a_part_a_percentage_and_a_density_are_taken(edge: dict) -> None:
    mixed(**edge)


@pytest.mark.parametrize(
    "beyond",
    [
        {"part": "-1/1000"},
        {"part": "1001"},
        {"percent": "1001"},
        {"percent": "-1"},
        {"percent": "100", "percent_of": PercentOf.FINAL},
        {"density": 0.29},
        {"density": 5.01},
    ],
)
def test_what_lies_beyond_them_is_refused(beyond: dict) -> None:
    with pytest.raises(RuleBroken):
        mixed(**beyond)
