"""VINs and frame numbers: doubts are sentences, offers are rare, nothing is refused."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopbook.trade.car.vin import VinDoubt, VinKind, check_digit, examine_vin, is_check_digit_right, normalise_vin

GOOD = "1M8GDM9AXKP042788"


def test_a_right_number_raises_no_doubt_however_it_is_typed() -> None:
    for typed in (GOOD, GOOD.lower(), " 1M8-GDM9AX KP042788 ", "１M8GDM9AXKP042788"):
        report = examine_vin(typed)
        assert (report.kind, report.normalised, report.warnings) == (VinKind.VIN, GOOD, ())


@pytest.mark.parametrize("typed", ["", "   ", "--"])
def test_nothing_typed_is_no_fault(typed: str) -> None:
    assert examine_vin(typed).kind is VinKind.EMPTY
    assert examine_vin(typed).warnings == ()


def test_an_old_frame_number_is_kept_with_a_warning() -> None:
    report = examine_vin("ae86-1234567")
    assert (report.kind, report.normalised, report.model_years) == (VinKind.FRAME_NUMBER, "AE861234567", ())
    assert "saved" in report.warnings[0].sentence


@pytest.mark.parametrize("typed", [GOOD[:-1], GOOD + "8"])
def test_a_character_missing_or_doubled_is_said(typed: str) -> None:
    (warning,) = examine_vin(typed).warnings
    assert warning.code is VinDoubt.LENGTH
    assert "17" in warning.sentence


def test_letters_that_are_never_used_are_offered_as_figures_when_that_makes_it_right() -> None:
    (warning,) = examine_vin("1M8GDM9AXKPO42788").warnings
    assert (warning.code, warning.offered) == (VinDoubt.LETTERS, GOOD)
    (warning,) = examine_vin("IM8GDM9AXKPQ42788").warnings
    assert warning.offered == GOOD
    (warning,) = examine_vin("1M8GDM9AXKPO42789").warnings
    assert (warning.code, warning.offered) == (VinDoubt.LETTERS, None)


def test_a_letter_among_the_last_four_is_offered_as_the_figure_it_looks_like() -> None:
    (warning,) = examine_vin("1M8GDM9AXKP04278B").warnings
    assert (warning.code, warning.offered) == (VinDoubt.CHECK_DIGIT, GOOD)
    assert "8 for B in position 17" in warning.sentence


def test_a_number_is_offered_only_when_one_reading_is_right() -> None:
    offers = [examine_vin(_with(GOOD, place, "3")).warnings for place in range(11, 17) if GOOD[place] != "3"]
    assert all(warnings[0].code is VinDoubt.CHECK_DIGIT for warnings in offers)
    for warnings in offers:
        assert warnings[0].offered is None or is_check_digit_right(warnings[0].offered)


def test_a_mismatch_from_another_continent_is_only_a_gentle_word() -> None:
    (warning,) = examine_vin("W0L000051T2123456").warnings
    assert (warning.code, warning.offered) == (VinDoubt.CHECK_DIGIT_ABROAD, None)
    assert "may be right" in warning.sentence


def test_other_scripts_are_told_not_dropped() -> None:
    report = examine_vin("1M8GDM9AXKP04278Ж")
    assert report.normalised.endswith("Ж")
    assert report.warnings[0].code is VinDoubt.CHARACTERS


def test_years_not_yet_built_are_left_out() -> None:
    assert examine_vin(GOOD, latest_year=2018).model_years == (1989,)


@given(st.text(max_size=40))
def test_nothing_that_can_be_typed_is_refused(text: str) -> None:
    report = examine_vin(text)
    assert (report.kind is VinKind.EMPTY) == (report.normalised == "")
    assert all(warning.sentence.endswith(".") for warning in report.warnings)


_PLAIN = st.text("ABCDEFGHJKLMNPRSTUVWXYZ0123456789", min_size=17, max_size=17)


@given(_PLAIN, st.integers(0, 16), st.sampled_from("ABCDEFGHJKLMNPRSTUVWXYZ0123456789"))
def test_an_offer_is_always_a_right_number_near_what_was_typed(vin: str, place: int, character: str) -> None:
    for warning in examine_vin(_with(vin, place, character)).warnings:
        if warning.offered is not None:
            assert is_check_digit_right(warning.offered)
            changed = sum(a != b for a, b in zip(_with(vin, place, character), warning.offered, strict=True))
            assert changed in (1, 2)


@given(_PLAIN)
def test_the_check_digit_does_not_depend_on_what_stands_in_its_place(vin: str) -> None:
    assert check_digit(vin) == check_digit(_with(vin, 8, "0"))
    assert normalise_vin(vin) == vin


def _with(vin: str, place: int, character: str) -> str:
    return vin[:place] + character + vin[place + 1 :]
