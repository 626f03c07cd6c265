"""Near spelling: every word that is one slip away from a typed one, so that an index finds those which are known.

A slip is a letter too many, one left out, one for another, or two neighbours changed over (the distance of Damerau and
Levenshtein, one of it): "okafro" is one from "okafor". The words are made from the typed one, some 500 of six letters,
so that what is asked does not grow with the book.
"""

import string
import unicodedata
from collections.abc import Iterator

SHORTEST = 3
"""A shorter word has too many neighbours to be worth offering."""
LONGEST = 24
_PLAIN = string.ascii_lowercase + string.digits
_BLOCK = 128


def near_words(word: str) -> set[str]:
    """Words one slip away from a folded word, itself left out; none for a short one, a very long one or a number."""
    if not SHORTEST <= len(word) <= LONGEST or word.isdigit():
        return set()
    parts = [(word[:place], word[place:]) for place in range(len(word) + 1)]
    return {*_without_letters(parts), *_with_letters(parts, letters_of(word))} - {word}


def _without_letters(parts: list[tuple[str, str]]) -> Iterator[str]:
    """The word with one letter left out, and with two neighbours changed over."""
    for before, after in parts:
        if after:
            yield before + after[1:]
        yield before + after[1:2] + after[:1] + after[2:]


def _with_letters(parts: list[tuple[str, str]], letters: str) -> Iterator[str]:
    """The word with a letter more, and with one in place of another."""
    for before, after in parts:
        for letter in letters:
            yield before + letter + after
            if after:
                yield before + letter + after[1:]


def letters_of(word: str) -> str:
    """The letters that may have been meant: plain ones and figures, and those of any other script that the word has."""
    blocks = {ord(letter) // _BLOCK for letter in word if not letter.isascii()}
    others = (chr(sign) for block in blocks for sign in range(block * _BLOCK, (block + 1) * _BLOCK))
    return _PLAIN + "".join(sign for sign in others if unicodedata.category(sign) in {"Ll", "Lo"})
