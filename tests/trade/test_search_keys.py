"""Search keys: however a plate, phone, name or VIN is typed, it finds what was written down."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopbook.trade.search_keys import (
    asked_number,
    asked_whole,
    asked_words,
    asked_year,
    car_keys,
    fold,
    name_keys,
    phone_keys,
    plate_key,
    vin_keys,
)


def _finds(typed: str, keys: list[str]) -> bool:
    return any(key.startswith(asked) for asked in asked_whole(typed) for key in keys)


def _finds_name(typed: str, name: str) -> bool:
    words = asked_words(typed)
    return bool(words) and all(any(key.startswith(word) for key in name_keys(name)) for word in words)


@pytest.mark.parametrize("typed", ["KTR 204", "ktr-204", "ktr2", "K.T.R.204", "ＫＴＲ２０４"])
def test_a_plate_is_found_however_it_is_spaced(typed: str) -> None:
    assert _finds(typed, [plate_key("KTR 204")])


def test_plates_of_other_letters_keep_them() -> None:
    assert plate_key("MÜ-AB 12") == "muab12"
    assert plate_key("А 123 ВС") == "а123вс"


@pytest.mark.parametrize("typed", ["+44 7700 900123", "07700 900123", "0900123", "0123", "07700"])
def test_a_phone_is_found_by_its_end_its_beginning_and_its_country_form(typed: str) -> None:
    assert _finds(typed, phone_keys("07700 900123"))


def test_a_number_written_with_its_country_is_found_without_it() -> None:
    assert _finds("07700 900123", phone_keys("+44 7700 900123"))


def test_figures_of_other_scripts_are_figures() -> None:
    assert phone_keys("٥٥٥-٠١٣١") == phone_keys("555-0131")


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("lind", "Mia Lindqvist"),
        ("lindqvist mia", "Mia Lindqvist"),
        ("muller", "Jörg Müller"),
        ("MÜLLER", "Jörg Müller"),
        ("strasse", "Straße Autos"),
        ("obrien", "Pat O'Brien"),
        ("o'brien", "Pat O'Brien"),
        ("brien", "Pat O’Brien"),
        ("smith-jones", "Ann Smith-Jones"),
        ("smithjones", "Ann Smith-Jones"),
        ("soren", "Søren Łukasz"),
        ("lukasz", "Søren Łukasz"),
        ("हिन्दी", "राम हिन्दी"),
        ("ガレージ", "山田 ガレージ"),
        ("山田", "山田太郎"),
        ("й", "Йосип"),
        ("محمد", "مُحَمَّد"),
    ],
)
def test_a_name_is_found_in_any_script_without_its_marks(typed: str, name: str) -> None:
    assert _finds_name(typed, name)


@pytest.mark.parametrize(
    ("typed", "name"), [("हन", "राम हिन्दी"), ("カレーシ", "ガレージ"), ("mia novak", "Mia Lindqvist"), ("'", "O'Brien")]
)
def test_signs_that_make_another_letter_are_kept_apart(typed: str, name: str) -> None:
    assert not _finds_name(typed, name)


def test_a_vin_is_found_whole_and_by_its_last_six() -> None:
    keys = vin_keys("1m8gdm9axkp042788")
    assert keys == ["042788", "1m8gdm9axkp042788"]
    assert _finds("042788", keys)
    assert _finds("1M8GDM9A", keys)
    assert vin_keys("") == []


@pytest.mark.parametrize("typed", ["", "  ", "--", "'"])
def test_nothing_typed_asks_for_nothing(typed: str) -> None:
    assert asked_whole(typed) == []
    assert asked_words(typed) == []
    assert name_keys(typed) == []
    assert phone_keys(typed) == []


@given(st.text(max_size=30))
def test_folding_twice_changes_nothing_more(text: str) -> None:
    assert fold(fold(text)) == fold(text)


@given(st.text(max_size=30))
def test_a_name_is_always_found_by_itself(name: str) -> None:
    assert not asked_words(name) or _finds_name(name, name)


def test_a_car_is_found_by_each_word_it_is_called_by() -> None:
    assert car_keys("Estate car, 350 CDi", "silver-grey") == ["350", "car", "cdi", "estate", "grey", "silver"]
    assert car_keys("", "") == []


@pytest.mark.parametrize(
    ("typed", "prefix", "number"),
    [("1042", "", 1042), ("1042", "2026-", 1042), ("2026-1042", "2026-", 1042), (" re/1042 ", "RE/", 1042),
     ("2026-1042", "", None), ("1042a", "", None), ("", "2026-", None), ("9" * 10, "", None), ("٣", "", None)],
)  # fmt: skip
def test_a_paper_is_asked_for_by_its_number_with_its_prefix_or_without(
    typed: str, prefix: str, number: int | None
) -> None:
    assert asked_number(typed, prefix) == number


@pytest.mark.parametrize(
    ("word", "year"), [("2017", 2017), ("1899", None), ("64", None), ("20170", None), ("wagon", None)]
)
def test_a_year_is_one_of_four_figures(word: str, year: int | None) -> None:
    assert asked_year(word) == year
