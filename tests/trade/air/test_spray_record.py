"""What was sprayed last time, and what a mixing log lacks."""

import math
from dataclasses import replace
from datetime import date

import pytest

from shopbook.trade.air.spray_record import (
    MixedPart,
    MixRecord,
    Spraying,
    check_record,
    list_missing,
    say_record,
)
from shopbook.trade.coating.colour_cards import CardVerdict
from shopbook.trade.coating.paints import Paint
from shopbook.trade.errors import RuleBroken

RECORD = Spraying(date(2026, 3, 2), "B 21", Paint.BASE_SOLVENT, 3, 1.3, 1.8, 15, 21, 45, ("L7", "L9"), "Runs lean.")


def test_a_record_is_told_in_one_line_without_what_nobody_noted() -> None:
    told = say_record(RECORD)
    assert told == (
        "Last time, 2026-03-02: tip 1.3 mm, 1.8 bar (26 psi), 15 cm (6 in), 3 coats, "
        "21 °C (70 °F), humidity 45 %, batches L7 and L9. Runs lean."
    )
    assert "15 cm (6 in), overlap 60 %, 3 coats, 21 °C" in say_record(replace(RECORD, overlap_percent=60))
    assert say_record(Spraying(date(2026, 3, 2), "x", Paint.CLEAR_HIGH, 1)) == "Last time, 2026-03-02: 1 coat."
    assert say_record(replace(RECORD, variant="3"), "Base, waterborne").startswith(
        "Last time, 2026-03-02: variant 3, base, waterborne, tip 1.3 mm, 1.8 bar"
    )


def test_the_verdict_of_the_card_stands_after_the_gun() -> None:
    told = say_record(replace(RECORD, variant="3", verdict=CardVerdict.BLEND), "Base, solvent-borne")
    assert "variant 3, base, solvent-borne, tip 1.3 mm, 1.8 bar (26 psi), 15 cm (6 in), blend, 3 coats" in told


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("coats", 0),
        ("tip_mm", 12),
        ("inlet_bar", 0),
        ("humidity_percent", 101),
        ("overlap_percent", 100),
        ("temperature_c", math.nan),
    ],
)
def test_a_figure_that_cannot_be_is_refused_beside_its_field(field: str, value: float) -> None:
    assert check_record(RECORD) is RECORD
    with pytest.raises(RuleBroken) as told:
        check_record(replace(RECORD, **{field: value}))
    assert told.value.field == field


def test_a_full_mixing_log_lacks_nothing_and_a_bare_one_is_told_what() -> None:
    """326 IAC 8-10-9: job, date, category, maker and number, quantity or ratio, VOC as supplied, each added part."""
    full = MixRecord("1042", date(2026, 3, 2), "topcoat", 420, (MixedPart("clear", "a maker", "77", 200_000),))
    assert list_missing(full) == ()
    bare = MixRecord("", None, "", None, (MixedPart("clear", "", "77", None),))
    assert list_missing(bare) == (
        "job", "day", "coating category", "VOC as supplied", "maker of clear", "quantity of clear",
    )  # fmt: skip
    assert list_missing(replace(full, parts=())) == ("parts",)


@pytest.mark.parametrize(
    ("field", "low", "high", "sentence"),
    [
        ("coats", 1, 20, "Enter 1 to 20 coats"),
        ("tip_mm", 0.2, 5.0, "Enter a tip size from 0.2 to 5 mm"),
        ("inlet_bar", 0.1, 10.0, r"from 0.1 bar \(1 psi\) to 10 bar \(145 psi\)"),
        ("distance_cm", 2.0, 100.0, r"from 2 cm \(1 in\) to 100 cm \(39 in\)"),
        ("overlap_percent", 1.0, 95.0, "from 1 to 95 %"),
        ("temperature_c", -40.0, 60.0, r"from -?−?40 °C \(-?−?40 °F\) to 60 °C \(140 °F\)"),
        ("humidity_percent", 0.0, 100.0, "from 0 to 100 %"),
    ],
)
def test_a_figure_is_noted_from_its_least_to_its_most_and_no_further(
    field: str, low: float, high: float, sentence: str
) -> None:
    for edge in (low, high):
        assert check_record(replace(RECORD, **{field: edge}))
    for beyond in (low - (1 if field == "coats" else 0.05), high + (1 if field == "coats" else 0.05)):
        with pytest.raises(RuleBroken, match=sentence):
            check_record(replace(RECORD, **{field: beyond}))
