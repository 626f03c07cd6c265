"""When two names of people are one."""

import pytest

from shopbook.trade.letters import fold_name


@pytest.mark.parametrize("typed", ["sam weiss", " SAM  WEISS", "Sam Weiß", "Ｓam Weiss"])
def test_a_name_is_one_in_any_case_of_letters(typed: str) -> None:
    assert fold_name(typed) == fold_name("Sam Weiss")


@pytest.mark.parametrize("other", ["Jose", "José 2", "Josè"])
def test_another_letter_makes_another_name(other: str) -> None:
    assert fold_name(other) != fold_name("José")


def test_what_folding_makes_longer_still_fits_its_column() -> None:
    assert len(fold_name("\N{ARABIC LIGATURE SALLALLAHOU ALAYHE WASALLAM}" * 200)) == 200
