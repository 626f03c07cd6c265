"""Where a hole of the day belongs: the rules in order, each with its reason."""

from datetime import UTC, datetime, timedelta

from shopbook.trade.floor.day_guesses import Clues, Guess, Unclocked, Worked, guess_hole
from shopbook.trade.floor.hours import Interval
from shopbook.trade.floor.words import ClockWhat

EIGHT = datetime(2026, 11, 5, 8, 0, tzinfo=UTC)


def span(begins: int, ends: int) -> Interval:
    """So many minutes after eight."""
    return Interval(EIGHT + timedelta(minutes=begins), EIGHT + timedelta(minutes=ends))


def work(begins: int, ends: int, stage: int, name: str = "Block", *, job: str = "1042", lunch: bool = False) -> Worked:
    return Worked(span(begins, ends), (stage,), job, name, stopped_at_lunch=lunch)


def best(hole: Interval, *worked: Worked, **more: object) -> Guess:
    return guess_hole(hole, Clues(worked, **more))[0]  # type: ignore[arg-type]


def test_a_short_gap_before_the_first_stage_is_that_stage_begun_early() -> None:
    guess = best(span(0, 12), work(12, 60, 7))
    assert (guess.stage_ids, guess.words) == ((7,), "1042 block, started early")


def test_a_long_gap_before_the_first_stage_is_setting_up() -> None:
    assert best(span(0, 40), work(40, 60, 7)).what is ClockWhat.SETTING_UP


def test_the_end_of_the_day_is_cleaning_unless_it_is_long() -> None:
    assert best(span(480, 510), work(400, 480, 7)).what is ClockWhat.CLEANING
    assert best(span(400, 510), work(300, 400, 7)).stage_ids == (7,)


def test_a_gap_inside_one_stage_is_that_stage() -> None:
    assert best(span(60, 150), work(0, 60, 7), work(150, 200, 7)).stage_ids == (7,)


def test_what_was_marked_done_in_the_gap_and_never_clocked_comes_first() -> None:
    done = Unclocked(EIGHT + timedelta(minutes=95), 9, "1039", "Mask, tack")
    guess = best(span(60, 96), work(0, 60, 7), work(96, 150, 8), unclocked=[done])
    assert (guess.stage_ids, guess.words) == ((9,), "1039 mask")


def test_work_that_lunch_cut_off_went_on_after_it() -> None:
    guess = best(span(270, 330), work(200, 240, 7, lunch=True), work(330, 400, 8, job="1045"))
    assert (guess.stage_ids, guess.words) == ((7,), "1042 block, after lunch")


def test_a_part_that_came_in_the_gap_offers_waiting() -> None:
    came = EIGHT + timedelta(minutes=90)
    guesses = guess_hole(span(60, 120), Clues([work(0, 60, 7)], parts_came_at=[came]))
    assert ClockWhat.WAITING in {guess.what for guess in guesses}


def test_a_day_with_nothing_on_it_still_has_a_guess_and_never_more_than_three() -> None:
    assert guess_hole(span(0, 480), Clues())
    crowded = Clues([work(0, 60, 7), work(80, 90, 8)], [Unclocked(EIGHT + timedelta(minutes=70), 9, "1", "Tack")])
    guesses = guess_hole(span(60, 80), crowded)
    assert len(guesses) == 3
    assert len({(guess.what, guess.stage_ids) for guess in guesses}) == 3


def test_the_same_day_always_gives_the_same_guesses() -> None:
    clues = Clues([work(0, 60, 7), work(100, 160, 8)])
    assert guess_hole(span(60, 100), clues) == guess_hole(span(60, 100), clues)


def test_a_hole_of_45_minutes_is_still_short_and_one_of_46_is_long() -> None:
    assert best(span(0, 45)).what is ClockWhat.CLEANING
    assert best(span(0, 46)).what is ClockWhat.WAITING
    assert best(span(480, 525), work(400, 480, 7)).what is ClockWhat.CLEANING
    assert best(span(480, 526), work(400, 480, 7)).stage_ids == (7,)


def test_a_short_gap_between_two_stretches_of_work_offers_a_break_last_and_a_longer_one_none() -> None:
    """From 9:00 to 9:20 between two stages: at most three guesses, the break the last of them; to 9:21: none."""
    around = [work(0, 60, 7), work(80, 140, 8)]
    short = guess_hole(span(60, 80), Clues(around))
    assert len(short) == 3
    assert short[-1].what is ClockWhat.BREAK
    longer = guess_hole(span(60, 81), Clues([work(0, 60, 7), work(81, 140, 8)]))
    assert ClockWhat.BREAK not in {guess.what for guess in longer}
    assert ClockWhat.BREAK not in {guess.what for guess in guess_hole(span(60, 80), Clues(around[:1]))}
