"""Waste by weight, and papers that run out."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopbook.trade.air.voc import DEFERS
from shopbook.trade.air.waste import (
    ON_TOP,
    RENEWED_MONTHS,
    GeneratorClass,
    PaperKind,
    PaperToRenew,
    add_months,
    class_of,
    judge_month,
    list_due,
    waste_grams,
)
from shopbook.trade.errors import RuleBroken


def test_ten_litres_of_thinner_at_0_87_weigh_8_7_kilograms() -> None:
    assert waste_grams(10_000_000, 870) == 8_700


def test_nothing_weighs_nothing() -> None:
    assert waste_grams(0, 870) == 0


@pytest.mark.parametrize(
    ("grams", "found"),
    [
        (0, GeneratorClass.VERY_SMALL),
        (100_000, GeneratorClass.VERY_SMALL),
        (100_001, GeneratorClass.SMALL),
        (999_999, GeneratorClass.SMALL),
        (1_000_000, GeneratorClass.LARGE),
    ],
)
def test_a_class_ends_at_the_gram(grams: int, found: GeneratorClass) -> None:
    """40 CFR 262.14 and 262.16: very small up to and with 100 kg a month, small under 1,000 kg."""
    assert class_of(grams) is found


def test_papers_are_renewed_after_so_many_months() -> None:
    """Training 40 CFR 63.11173(g), fit test 29 CFR 1910.134(f)(2), extinguisher 29 CFR 1910.157(e)(3)."""
    months = {kind.value: count for kind, count in RENEWED_MONTHS.items()}
    assert months == {
        "painter_training": 60,
        "mask_fit": 12,
        "mask_medical": 12,
        "booth_filters": 3,
        "supplied_air_test": 3,
        "extinguisher": 12,
        "waste_collection": 6,
    }


def test_a_month_says_what_comes_on_top_and_who_decides() -> None:
    figure = judge_month(12_000)
    assert figure.solvent_alone is GeneratorClass.VERY_SMALL
    assert ON_TOP in figure.sentences
    assert figure.sentences[-1] == DEFERS


def test_more_held_than_the_class_may_hold_is_said() -> None:
    """40 CFR 262.14: a very small generator holds at most 1,000 kg; 262.16: a small one 6,000 kg."""
    assert len(judge_month(50_000, 1_000_000).sentences) == 3
    assert "1,001 kg is held" in judge_month(50_000, 1_001_000).sentences[2]
    assert len(judge_month(150_000, 1_001_000).sentences) == 3


def test_waste_without_a_density_is_refused() -> None:
    with pytest.raises(RuleBroken):
        waste_grams(1000, 0)
    with pytest.raises(RuleBroken):
        waste_grams(-1, 900)


@given(st.dates(date(2000, 1, 1), date(2090, 1, 1)), st.integers(0, 120))
def test_months_on_is_never_in_another_month(day: date, months: int) -> None:
    later = add_months(day, months)
    assert (later.year * 12 + later.month) - (day.year * 12 + day.month) == months
    assert later.day <= day.day


def test_papers_stand_with_the_most_pressing_first() -> None:
    """Training runs five years: 40 CFR 63 subpart HHHHHH, refresher at least once every 5 years."""
    papers = [
        PaperToRenew(PaperKind.PAINTER_TRAINING, "Sam", date(2024, 2, 29)),
        PaperToRenew(PaperKind.MASK_FIT, "Sam", date(2025, 3, 1)),
    ]
    due = list_due(papers, date(2026, 3, 2))
    assert [(each.paper.kind, each.due_on, each.days_left) for each in due] == [
        (PaperKind.MASK_FIT, date(2026, 3, 1), -1),
        (PaperKind.PAINTER_TRAINING, date(2029, 2, 28), 1094),
    ]
