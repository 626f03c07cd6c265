"""Ratios, mix cards, cups and shared mixes."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopbook.trade.coating.mixing import (
    Cupful,
    choose_cup,
    fill_cups,
    least_mix,
    mix_card,
    mix_lines,
    mix_together,
    round_up,
    share_mix,
    thumb_words,
)
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.ratios import (
    Additive,
    Part,
    PercentOf,
    Recipe,
    density_g_per_ml,
    parse_ratio,
    read_part,
    recipe_of,
    say_parts,
    split_shown,
    split_thousandths,
)

PARTS = st.fractions(Fraction(1, 10), 20, max_denominator=10)
PERCENTS = st.fractions(0, 30, max_denominator=10)


@st.composite
def recipes(draw: st.DrawFn) -> Recipe:
    """Any recipe of one to four parts with up to three additives."""
    parts = [Part(f"part {n}", value, 1.0) for n, value in enumerate(draw(st.lists(PARTS, min_size=1, max_size=4)))]
    added = draw(st.lists(st.tuples(PERCENTS, st.sampled_from(PercentOf)), max_size=3))
    return recipe_of(parts, [Additive(f"additive {n}", p, of, 1.0) for n, (p, of) in enumerate(added)])


@given(recipes(), st.integers(1_000, 50_000_000))
def test_the_parts_of_a_mix_sum_exactly(recipe: Recipe, total: int) -> None:
    parts = split_thousandths(recipe, total)
    assert sum(parts) == total
    assert min(parts) >= 0


@given(recipes(), st.integers(10_000, 5_000_000))
def test_each_part_is_within_a_few_thousandths_of_its_share(recipe: Recipe, total: int) -> None:
    whole = sum(recipe.volumes)
    for part, volume in zip(split_thousandths(recipe, total), recipe.volumes, strict=True):
        assert abs(part - total * volume / whole) <= len(recipe.volumes)


@given(recipes(), st.integers(1_000, 5_000_000))
def test_levels_and_scale_only_rise_and_end_at_the_whole(recipe: Recipe, total: int) -> None:
    lines = mix_lines(recipe, total)
    assert [line.level_thousandths_ml for line in lines] == sorted(line.level_thousandths_ml for line in lines)
    assert lines[-1].level_thousandths_ml == total
    shown = lines[-1].scale_shows_thousandths_g
    assert shown is not None
    assert abs(shown - total) <= 50


@given(recipes(), st.integers(1, 3_000_000), st.integers(0, 200_000))
def test_a_card_never_makes_less_than_is_wanted(recipe: Recipe, wanted: int, least: int) -> None:
    card = mix_card(recipe, wanted, least_thousandths=least)
    assert card.total_thousandths_ml >= max(wanted, least)
    assert sum(line.part_thousandths_ml for line in card.lines) == card.total_thousandths_ml


@given(
    st.dictionaries(st.text(min_size=1, max_size=3), st.integers(0, 900_000), min_size=1, max_size=6),
    st.integers(0, 10**6),
    st.integers(0, 10**6),
)
def test_a_shared_mix_is_taken_exactly(planned: dict[str, int], made: int, left: int) -> None:
    left = min(left, made)
    shared = share_mix(made, left, planned)
    assert sum(shared.taken_thousandths.values()) + shared.left_thousandths == made
    assert set(shared.taken_thousandths) == set(planned)


def test_a_four_one_one_reads_by_cup_line_volume_and_scale() -> None:
    card = mix_card(parse_ratio("4:1:1", densities=(1.5, 1.0, 0.9)), 237_000)
    assert card.ratio == "4 : 1 : 1"
    assert card.total_thousandths_ml == 240_000
    assert [line.cup_line for line in card.lines] == ["to 4", "to 5", "to 6"]
    assert [line.level_thousandths_ml for line in card.lines] == [160_000, 200_000, 240_000]
    assert [line.scale_shows_thousandths_g for line in card.lines] == [240_000, 280_000, 316_000]
    assert "237 ml needed, 240 ml mixed" in card.reason


def test_an_unknown_density_leaves_the_scale_out_from_there_and_says_so() -> None:
    card = mix_card(parse_ratio("2:1", ("clear", "hardener"), (1.0, None)), 100_000)
    assert [line.scale_shows_thousandths_g is None for line in card.lines] == [False, True]
    assert any("hardener" in warning for warning in card.warnings)


def test_an_additive_by_percent_has_a_line_in_ml() -> None:
    card = mix_card(parse_ratio("2:1 + 10 %"), 330_000)
    assert [line.cup_line for line in card.lines] == ["to 2", "to 3", "to 330 ml"]
    assert [line.part_thousandths_ml for line in card.lines] == [200_000, 100_000, 30_000]


def test_ten_percent_of_paint_of_the_mix_and_of_the_whole_are_three_volumes() -> None:
    volumes = {of: parse_ratio("2:1 + 10 %", percent_of=of).volumes[2] for of in PercentOf}
    assert volumes == {
        PercentOf.PAINT: Fraction(1, 5),
        PercentOf.MIXED: Fraction(3, 10),
        PercentOf.FINAL: Fraction(1, 3),
    }


def test_less_than_can_be_mixed_true_is_rounded_up_and_said() -> None:
    card = mix_card(parse_ratio("4:1:1"), 12_000, least_thousandths=60_000)
    assert card.total_thousandths_ml == 60_000
    assert any("less than 60 ml" in warning for warning in card.warnings)


SIZES = (180_000, 650_000, 385_000)


@given(st.integers(1, 5_000_000), st.one_of(st.none(), st.sampled_from(SIZES)))
def test_cups_hold_the_need_and_none_runs_over(wanted: int, chosen: int | None) -> None:
    found = fill_cups(wanted, SIZES, chosen)
    assert found.each_thousandths * found.count >= wanted
    assert found.cup_thousandths is not None
    assert found.each_thousandths <= found.cup_thousandths
    assert chosen in {None, found.cup_thousandths}


def test_a_need_takes_the_smallest_cup_that_holds_it_a_chosen_one_is_filled_and_a_large_one_parted() -> None:
    assert fill_cups(310_000, SIZES) == Cupful(310_000, 1, 385_000)
    assert fill_cups(310_000, SIZES, 385_000) == Cupful(385_000, 1, 385_000)
    assert fill_cups(1_000_000, SIZES) == Cupful(500_000, 2, 650_000)
    assert fill_cups(400_000, (), None) == Cupful(400_000, 1, None)
    assert choose_cup(900_000, SIZES) is None


@given(recipes())
def test_in_the_least_mix_no_part_is_under_a_step(recipe: Recipe) -> None:
    least = least_mix(recipe)
    assert all(part == 0 or part >= 9_990 for part in split_thousandths(recipe, least))


def test_the_least_of_four_one_one_is_sixty_ml() -> None:
    assert least_mix(parse_ratio("4:1:1")) == 60_000
    assert least_mix(parse_ratio("2:1")) == 30_000
    assert least_mix(parse_ratio("8:2:1")) == 110_000


def test_a_density_is_the_mean_by_volume_once_all_are_known() -> None:
    assert density_g_per_ml(parse_ratio("1:1", densities=(1.4, 1.0))) == pytest.approx(1.2)
    assert density_g_per_ml(parse_ratio("1:1", densities=(1.4,))) is None


@pytest.mark.parametrize(
    ("typed", "parts"),
    [("4", 4), ("0.5", Fraction(1, 2)), ("0,5", Fraction(1, 2)), ("1/2", Fraction(1, 2)), ("1½", Fraction(3, 2))],
)
def test_a_part_is_read_as_painters_type_it(typed: str, parts: Fraction) -> None:
    assert read_part(typed) == parts
    assert read_part(say_parts(Fraction(parts))) == parts


@pytest.mark.parametrize(
    "typed", ["", "0:0", "0:1", "a:b", "4:-1", "4:1:1 + 10", "1/0", "4::1", "1e9:1", "9" * 30, "2:1 + x %", "nan:1"]
)
def test_a_ratio_that_cannot_be_is_refused(typed: str) -> None:
    with pytest.raises(RuleBroken) as told:
        parse_ratio(typed)
    assert told.value.field in {"ratio", "percent"}


def test_a_whole_mix_of_additive_a_strange_density_and_an_empty_mix_are_refused() -> None:
    with pytest.raises(RuleBroken):
        parse_ratio("1 + 100 %", percent_of=PercentOf.FINAL)
    with pytest.raises(RuleBroken):
        parse_ratio("1:1", densities=(0.1, 1.0))
    with pytest.raises(RuleBroken):
        mix_card(parse_ratio("1:1"), 0)
    with pytest.raises(RuleBroken):
        round_up(5, 0)
    for wanted, cup in ((0, None), (5_000, 0)):
        with pytest.raises(RuleBroken):
            fill_cups(wanted, SIZES, cup)


def test_more_left_than_was_mixed_is_refused() -> None:
    with pytest.raises(RuleBroken):
        share_mix(100, 101, {"base": 100})
    with pytest.raises(RuleBroken):
        share_mix(100, 0, {})


@given(
    st.dictionaries(st.text(min_size=1, max_size=3), st.integers(0, 900_000), min_size=1, max_size=6),
    st.integers(0, 80_000),
)
def test_mixing_together_never_needs_more_than_apart_nor_less_than_the_largest(
    needs: dict[str, int], loss: int
) -> None:
    joint = mix_together(needs, loss)
    apart = sum(need + loss for need in needs.values())
    assert max(needs.values()) + loss <= joint.wanted_thousandths <= apart
    assert joint.wanted_thousandths + joint.saved_thousandths == apart


def test_mixing_together_says_what_it_saves_and_refuses_nothing_to_mix() -> None:
    assert "saves 80 ml" in mix_together({"a": 1, "b": 2, "c": 3}, 40_000).reason
    assert mix_together({"a": 1}, 40_000).reason == ""
    with pytest.raises(RuleBroken):
        mix_together({}, 40_000)


@given(recipes(), st.integers(1, 5_000))
def test_parts_as_a_cup_shows_them_sum_to_the_whole_as_printed(recipe: Recipe, ml: int) -> None:
    parts = split_shown(recipe, ml * 1000)
    assert sum(parts) == ml * 1000
    exact = split_thousandths(recipe, ml * 1000)
    assert parts == exact or all(part % 1000 == 0 for part in parts)
    assert all((part > 0) == (one > 0) for part, one in zip(parts, exact, strict=True))


def test_a_hundred_ml_of_four_one_one_are_poured_as_66_17_and_17() -> None:
    assert split_shown(parse_ratio("4:1:1"), 100_000) == (66_000, 17_000, 17_000)
    assert [line.level_thousandths_ml for line in mix_lines(parse_ratio("4:1:1"), 100_000)] == [66_000, 83_000, 100_000]


def test_more_than_a_quarter_outside_the_rule_of_thumb_is_said_in_words() -> None:
    assert thumb_words(188_000, (250, 300)) == thumb_words(375_000, (250, 300)) == thumb_words(9_000, None) == ""
    assert thumb_words(187_000, (250, 300)).startswith("187 ml is more than a quarter below the rule of thumb")
    assert "above the rule of thumb (250 to 300 ml)" in thumb_words(376_000, (250, 300))
