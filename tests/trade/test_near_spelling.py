"""Every word one slip away is made, and none that is further: held against the distance as a table works it out."""

import string

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopbook.trade.near_spelling import LONGEST, SHORTEST, letters_of, near_words

WORDS = st.text(string.ascii_lowercase + string.digits, min_size=SHORTEST, max_size=9).filter(
    lambda each: not each.isdigit()
)


def distance(one: str, other: str) -> int:
    """Of Damerau and Levenshtein, neighbours changed over counting one (F. J. Damerau, CACM 7 (1964), 171: a letter
    wrong, missing, too many, or two adjacent ones transposed; from memory)."""
    table = {(-1, -1): 0}
    for i in range(-1, len(one)):
        for j in range(-1, len(other)):
            if i < 0 or j < 0:
                table[i, j] = max(i, j) + 1
                continue
            cost = one[i] != other[j]
            table[i, j] = min(table[i - 1, j] + 1, table[i, j - 1] + 1, table[i - 1, j - 1] + cost)
            if i and j and one[i] == other[j - 1] and one[i - 1] == other[j]:
                table[i, j] = min(table[i, j], table[i - 2, j - 2] + 1)
    return table[len(one) - 1, len(other) - 1]


@given(WORDS, st.data())
def test_every_word_that_is_made_is_one_slip_away(word: str, data: st.DataObject) -> None:
    assert distance(word, data.draw(st.sampled_from(sorted(near_words(word))))) == 1


@given(WORDS, WORDS)
def test_a_word_is_made_just_when_it_is_one_slip_away(word: str, other: str) -> None:
    assert (other in near_words(word)) == (distance(word, other) == 1)


@given(WORDS, st.data())
def test_what_a_slip_makes_of_a_word_finds_the_word_again(word: str, data: st.DataObject) -> None:
    slipped = data.draw(st.sampled_from(sorted(near_words(word))))
    assert len(slipped) < SHORTEST or slipped.isdigit() or word in near_words(slipped)


@pytest.mark.parametrize(
    ("typed", "meant"),
    [("okafro", "okafor"), ("okfor", "okafor"), ("okaffor", "okafor"), ("ikafor", "okafor"), ("ktr2o4", "ktr204"),
     ("новка", "новак"), ("παππάς".replace("ά", "α"), "παπας"), ("müler".replace("ü", "u"), "muller")],
)  # fmt: skip
def test_slips_of_the_telephone(typed: str, meant: str) -> None:
    assert meant in near_words(typed)


@pytest.mark.parametrize("typed", ["", "ab", "1042", "a" * (LONGEST + 1)])
def test_what_is_short_long_or_a_number_has_no_neighbours(typed: str) -> None:
    assert near_words(typed) == set()


def test_how_many_are_made_follows_from_the_word_alone() -> None:
    """Of six letters: 6 shorter, 5 changed over, 6 × 35 others, 7 × 36 longer, those that are made twice once."""
    assert len(letters_of("okafor")) == 36
    assert len(near_words("okafor")) == 6 + 5 + 6 * 35 + 7 * 36 - 6
