"""The words of a quote, and a signature as the pad sends it."""

import pytest

from shopbook.trade.agreeing.quote_words import WORK_WORDS, Hurt, group_words, hurt_words, work_words
from shopbook.trade.agreeing.signatures import check_signature, read_strokes
from shopbook.trade.catalogue.reading import own_catalogue
from shopbook.trade.countries import known_country
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.units import Unit

US, GB = known_country("us").say, known_country("gb").say


def test_a_hurt_place_is_told_as_a_customer_would_see_it() -> None:
    crease = Hurt("crease", length_mm=305, width_mm=76, depth="finger", crosses="lip")
    assert hurt_words(crease, US, Unit.INCH) == "Crease 12 in × 3 in, finger-deep, across the wheel arch lip"
    assert hurt_words(Hurt("dent", "M", depth="shallow"), US) == "Palm-sized dent"
    assert hurt_words(Hurt("dent", "L"), US) == "Large dent"
    assert hurt_words(Hurt("small_dents", dent_count=12), US) == "12 small dents"
    assert hurt_words(Hurt("small_dents", dent_count=1), US) == "1 small dent"


def test_damage_that_covers_an_area_has_the_size_of_the_area() -> None:
    assert hurt_words(Hurt("chip", "M"), US) == "Stone chips, palm-sized area"
    assert hurt_words(Hurt("faded_clear", "S"), US) == "Failing clear coat, coin-sized area"
    assert hurt_words(Hurt("faded_clear", "S"), GB) == "Failing lacquer, coin-sized area"


def test_work_is_told_once_and_washing_and_masking_are_not_told() -> None:
    stages = [("check_in", "Check in"), ("trim_off", "x"), ("pull", "x"), ("base_clear", "x"), ("refit", "x")]
    assert work_words(stages, US) == "Pull, base and clear coat; trim and lights off and back on."
    assert work_words([("block", "x"), ("polish", "x")], US) == "Block, buff."
    assert work_words([("block", "x"), ("polish", "x")], GB) == "Flat, machine polish."
    assert work_words([("by_hand", "Seal behind the {clear} arch")], US) == "Seal behind the {clear} arch."
    assert work_words([], US) == ""


def test_every_stage_of_the_catalogue_that_a_plan_begins_with_has_its_words() -> None:
    known = set(own_catalogue().stages)
    assert set(WORK_WORDS) <= known


def test_paint_is_told_by_the_most_that_is_done() -> None:
    words = group_words([Hurt("dent", "S", paint="no_paint"), Hurt("scuff", "S", paint="blend")], [], US)
    assert words.endswith("Painted, and the color blended into the next panels so that they match.")


def test_a_signature_is_strokes_of_points() -> None:
    assert read_strokes("M12 40L13 42M20 30") == (((12, 40), (13, 42)), ((20, 30),))
    assert check_signature("  ") == ""


@pytest.mark.parametrize("path", ["M1", "L1 1", "M1 1L", "M-1 2", "M1 1Z", "M1 1L321 5", "M1 1L5 111", "M1 1" * 9000])
def test_what_the_pad_cannot_have_drawn_is_refused(path: str) -> None:
    with pytest.raises(RuleBroken):
        check_signature(path)
