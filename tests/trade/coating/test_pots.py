"""How long a pot can be sprayed, and that no pot holds more coats than it has time for."""

from hypothesis import given
from hypothesis import strategies as st

from shopbook.trade.coating.pots import TimedCoat, batches_within, coat_minutes, pot_life_minutes, say_batches

COATS = st.lists(
    st.builds(TimedCoat, st.integers(1_000, 500_000), st.integers(1, 40), st.integers(0, 30)), min_size=1, max_size=5
)


@given(COATS, st.integers(5, 60))
def test_no_mix_outlives_its_pot_life_and_nothing_is_lost(coats: list[TimedCoat], life: int) -> None:
    batches = batches_within(coats, life)
    assert sum(batch.thousandths_ml for batch in batches) == sum(coat.thousandths_ml for coat in coats)
    for batch in batches:
        own = [coats[number - 1] for number in batch.coats]
        minutes = sum(coat.minutes for coat in own) + sum(coat.flash_minutes for coat in own[:-1])
        assert batch.minutes <= life
        assert batch.minutes == minutes or (len(own) == 1 and minutes > life)


def test_a_warm_day_halves_the_pot_life_and_a_cold_one_promises_no_more_than_twelve_degrees_do() -> None:
    assert pot_life_minutes(60, 30) == 30
    assert pot_life_minutes(60, 40) == 15
    assert pot_life_minutes(60, 5) == pot_life_minutes(60, 12)
    assert pot_life_minutes(1, 60) == 1


def test_three_coats_that_outlast_the_pot_are_proposed_as_two_mixes() -> None:
    batches = batches_within([TimedCoat(ml, 10, 8) for ml in (100_000, 120_000, 130_000)], 30)
    assert [(b.coats, b.thousandths_ml, b.minutes) for b in batches] == [((1, 2), 220_000, 28), ((3,), 130_000, 10)]
    assert say_batches(batches, 30).startswith("Make 2 mixes (220 ml for coats 1 and 2, 130 ml for coat 3)")
    assert say_batches(batches[:1], 30) == ""


def test_a_thin_first_coat_and_its_flash_count() -> None:
    thin, coat = TimedCoat(48_000, 11, 10), TimedCoat(160_000, 11, 8)
    assert [batch.minutes for batch in batches_within([coat, coat], 50)] == [30]
    assert [batch.coats for batch in batches_within([thin, coat, coat], 50)] == [(1, 2), (3,)]
    assert [batch.minutes for batch in batches_within([thin, coat, coat], 51)] == [51]


def test_a_coat_longer_than_the_pot_life_is_cut_in_equal_mixes() -> None:
    pieces = batches_within([TimedCoat(900_000, 50, 8)], 20)
    assert [(piece.thousandths_ml, piece.minutes) for piece in pieces] == [(300_000, 17)] * 3


def test_a_coat_takes_four_minutes_a_square_metre_and_three_at_least() -> None:
    assert [coat_minutes(4, area, 3) for area in (0.1, 0.75, 1.0, 2.6)] == [3, 3, 4, 11]
