"""Typing, showing and converting quantities."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.quantities import (
    format_quantity,
    from_thousandths,
    pack_words,
    parse_quantity,
    quantity_for_field,
    quarter_words,
    quarters,
    round_up_to_step,
    to_thousandths,
)
from shopbook.trade.measures.units import METRIC, US, Kind, Unit, UnitSystem, say_air, say_distance


@pytest.mark.parametrize(
    ("typed", "unit", "thousandths"),
    [
        ("250", Unit.ML, 250_000),
        ("2.5", Unit.ML, 2_500),
        ("2,5", Unit.ML, 2_500),
        ("1,250", Unit.ML, 1_250_000),
        ("1,250.5 ml", Unit.ML, 1_250_500),
        ("1 250", Unit.ML, 1_250_000),
        ("0,125", Unit.M2, 125),
        (".5", Unit.G, 500),
        ("1.5 L", Unit.ML, 1_500_000),
        ("1.5 litres", Unit.ML, 1_500_000),
        ("2½", Unit.ML, 2_500),
        ("½ L", Unit.ML, 500_000),
        ("1 1/2 kg", Unit.G, 1_500_000),
        ("3/4", Unit.L, 750_000),
        ("1 gal", Unit.ML, 3_785_412),
        ("128 fl. oz.", Unit.ML, 3_785_412),
        ("4 oz", Unit.ML, 118_294),
        ("4 oz", Unit.G, 113_398),
        ("12", Unit.PIECE, 12_000),
        ("12 pieces", Unit.PIECE, 12_000),
        ("−5", Unit.C, -5_000),
        ("70 °F", Unit.C, 21_111),
        ("70", Unit.F, 21_111),
        ("2 m2", Unit.M2, 2_000),
        ("10 ft²", Unit.M2, 929),
        ("12 sq ft", Unit.FT2, 1_115),
        ("4.5", Unit.MIL, 114_300),
        ("1 1/4 in", Unit.MM, 31_750),
        ("100 mi", Unit.KM, 160_934),
        ("١٢", Unit.ML, 12_000),
    ],
)
def test_what_is_typed_becomes_thousandths_of_the_base_unit(typed: str, unit: Unit, thousandths: int) -> None:
    assert parse_quantity(typed, unit) == thousandths


@pytest.mark.parametrize(
    ("typed", "unit"),
    [
        ("", Unit.ML),
        ("some", Unit.ML),
        ("-1", Unit.ML),
        ("1e9", Unit.ML),
        ("1.2.3", Unit.ML),
        ("1/0", Unit.ML),
        ("5 kg", Unit.ML),
        ("5 ml", Unit.PIECE),
        ("1.5", Unit.PIECE),
        ("½", Unit.PIECE),
        ("9" * 14, Unit.ML),
        ("nan", Unit.ML),
        ("--3", Unit.C),
        ("12,34,5", Unit.ML),
        ("<b>1</b>", Unit.ML),
    ],
)
def test_what_cannot_be_meant_is_answered_with_a_sentence_by_its_field(typed: str, unit: Unit) -> None:
    with pytest.raises(RuleBroken) as refused:
        parse_quantity(typed, unit, field="used")
    assert refused.value.field == "used"
    assert refused.value.sentence.endswith(".")


def test_a_difference_may_be_typed_under_zero_where_the_field_says_so() -> None:
    assert parse_quantity("-2.5", Unit.ML, is_signed=True) == -2_500


@pytest.mark.parametrize(
    ("thousandths", "unit", "words"),
    [
        (2_480_000, Unit.ML, "2,480 ml"),
        (2_480_000, Unit.FL_OZ, "83.86 fl oz"),
        (-90_000, Unit.ML, "−90 ml"),
        (12_000, Unit.PIECE, "12"),
        (1_050, Unit.M2, "1.05 m²"),
        (40, Unit.ML, "0.04 ml"),
        (0, Unit.ML, "0 ml"),
        (21_111, Unit.F, "70°F"),
        (-17_778, Unit.F, "0°F"),
        (1_500_000, Unit.KG, "1.5 kg"),
    ],
)
def test_quantities_read_as_the_shop_writes_them(thousandths: int, unit: Unit, words: str) -> None:
    assert format_quantity(thousandths, unit) == words


@pytest.mark.parametrize(
    "words",
    [
        *("12,345.7 ml", "12.346 L", "417.46 fl oz", "26.091 pt", "13.046 qt", "3.261 gal"),
        *("12,345.7 g", "12.346 kg", "435.48 oz", "27.218 lb"),
        *("12,345.68 m²", "123,456,780 cm²", "132,887.77 ft²", "19,135,839.2 in²"),
        *(
            "12,345.7 mm",
            "1,235 cm",
            "12.35 m",
            "486.05 in",
            "40.5 ft",
            "12,346 km",
            "7,671 mi",
            "12,346 µm",
            "486.1 mil",
        ),
        *("12,345.7°C", "22,254.2°F", "12,345.7 bar", "179,059 psi"),
    ],
)
def test_each_unit_is_written_with_the_decimals_it_is_measured_with(words: str) -> None:
    """12,345.678 of the base unit: 12,345.678 mm is 486.0503 in, of which two decimals are read off a rule."""
    unit = max((each for each in Unit if words.endswith(each)), key=len)
    assert format_quantity(12_345_678, unit) == words


def test_a_tenth_of_a_metre_is_3_94_inches() -> None:
    assert format_quantity(100_000, Unit.INCH) == "3.94 in"


@given(st.integers(-(10**11), 10**11), st.sampled_from([unit for unit in Unit if not unit.is_whole]))
def test_a_prefilled_field_sent_back_untouched_changes_nothing(thousandths: int, unit: Unit) -> None:
    assert parse_quantity(quantity_for_field(thousandths, unit), unit, is_signed=True) == thousandths


@given(st.integers(-(10**11), 10**11), st.sampled_from(list(Unit)))
def test_converting_there_and_back_is_exact(thousandths: int, unit: Unit) -> None:
    assert to_thousandths(from_thousandths(thousandths, unit), unit) == thousandths


def test_a_whole_pack_is_one_of_them_and_less_is_a_part_of_one() -> None:
    assert pack_words(1_000_000, 1_000_000, "1 L") == "1 × 1 L"
    assert pack_words(750_000, 1_000_000, "1 L") == "¾ of 1 L"


def test_a_field_holds_figures_without_groups() -> None:
    assert quantity_for_field(12_345_678_000, Unit.ML) == "12345678"


def test_air_and_distance_are_said_in_both_units_for_any_shop() -> None:
    """1 bar is 14.504 psi; a pressure is read to hundredths of a bar and no finer."""
    assert say_air(1.4, 2.2) == "1.4 to 2.2 bar (20 to 32 psi)"
    assert (say_air(1.25), say_air(1.254)) == ("1.25 bar (18 psi)", "1.25 bar (18 psi)")
    assert (say_distance(15), say_distance(13, 20)) == ("15 cm (6 in)", "13 to 20 cm (5 to 8 in)")


def test_a_shop_may_mix_its_units_but_not_their_kinds() -> None:
    assert UnitSystem(volume=Unit.ML, temperature=Unit.F).shown(Unit.C) is Unit.F
    assert US.shown(Kind.VOLUME) is Unit.FL_OZ
    assert METRIC.shown(Unit.PIECE) is Unit.PIECE
    with pytest.raises(RuleBroken):
        UnitSystem(volume=Unit.G)


@pytest.mark.parametrize(("need", "held"), [(0, 0), (1, 5_000), (5_000, 5_000), (5_001, 10_000)])
def test_what_is_poured_is_rounded_up_to_what_can_be_measured(need: int, held: int) -> None:
    assert round_up_to_step(need, 5_000) == held


def test_a_step_of_nothing_is_refused() -> None:
    with pytest.raises(RuleBroken):
        round_up_to_step(5, 0)


@pytest.mark.parametrize(
    ("on_hand", "pack", "name", "words"),
    [
        (2_480_000, 1_000_000, "1 L", "2½ × 1 L"),
        (1_730_000, 1_000_000, "1 L", "1¾ × 1 L"),
        (380_000, 500_000, "500 ml", "¾ of 500 ml"),
        (1_910_000, 1_500_000, "1.5 kg", "1¼ × 1.5 kg"),
        (7_400_000, 5_000_000, "5 L", "1½ × 5 L"),
        (75_000, 100_000, "box", "¾ of a box"),
        (20_000, 1_000_000, "1 L", "less than ¼ of 1 L"),
        (0, 1_000_000, "1 L", "none"),
        (-90_000, 500_000, "500 ml", "−¼ × 500 ml"),
        (2_000_000, 1_000_000, "1 L", "2 × 1 L"),
    ],
)
def test_the_shelf_is_said_in_packs_and_quarters(on_hand: int, pack: int, name: str, words: str) -> None:
    assert pack_words(on_hand, pack, name) == words


def test_quarters_count_to_the_nearest() -> None:
    assert [quarters(held, 1_000) for held in (0, 124, 125, 374, 375, 1_000, -130)] == [0, 0, 1, 1, 2, 4, -1]
    assert [quarter_words(count) for count in (0, 1, 4, 10, -5)] == ["0", "¼", "1", "2½", "−1¼"]
    with pytest.raises(RuleBroken):
        quarters(1, 0)


def test_a_third_typed_as_a_fraction_is_rounded_once() -> None:
    assert to_thousandths(Fraction(1, 3), Unit.GALLON) == 1_261_804


@pytest.mark.parametrize(
    ("typed", "locale", "thousandths"),
    [
        ("1,250.5", "en_US", 1_250_500),
        ("1.250,5", "en_US", 1_250_500),
        ("1.250", "en_US", 1_250),
        ("1.250", "de_DE", 1_250_000),
        ("1,250", "de_DE", 1_250),
        ("0,125", "en_US", 125),
        ("0.125", "de_DE", 125),
        ("1 250,5 ml", "fr_FR", 1_250_500),
        ("1'250.5", "de_CH", 1_250_500),
        ("1 250,5", "sv_SE", 1_250_500),
    ],
)
def test_a_quantity_is_read_as_the_books_pages_write_it(typed: str, locale: str, thousandths: int) -> None:
    assert parse_quantity(typed, Unit.ML, locale=locale) == thousandths


@pytest.mark.parametrize(("typed", "locale"), [("1.250", "fr_FR"), ("1,250", "de_CH")])
def test_a_quantity_that_only_others_write_and_in_two_ways_is_asked_about(typed: str, locale: str) -> None:
    with pytest.raises(RuleBroken, match=r"could be 1.250 or 1.250\. Enter the one you mean"):
        parse_quantity(typed, Unit.ML, locale=locale)


@pytest.mark.parametrize(
    ("locale", "words"),
    [
        ("en_US", "−1,234,567.5 ml"),
        ("de_DE", "−1.234.567,5 ml"),
        ("fr_FR", "−1\u202f234\u202f567,5 ml"),
        ("de_CH", "−1'234'567.5 ml"),
        ("sv_SE", "−1\u00a0234\u00a0567,5 ml"),
    ],
)
def test_a_quantity_is_written_with_the_marks_of_its_locale_and_typed_back(locale: str, words: str) -> None:
    assert format_quantity(-1_234_567_500, Unit.ML, locale=locale) == words
    assert parse_quantity(words, Unit.ML, locale=locale, is_signed=True) == -1_234_567_500
    shown = quantity_for_field(-1_234_567_500, Unit.ML, locale)
    assert parse_quantity(shown, Unit.ML, locale=locale, is_signed=True) == -1_234_567_500
