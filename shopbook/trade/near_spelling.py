"""Near spelling: every word that is one slip away from a typed one, so that an index finds those which are known.

A slip is a letter too many, one left out, one for another, or two neighbours changed over (the distance of Damerau and
Levenshtein, one of it): "okafro" is one from "okafor". The words are made from the typed one, some 500 of six letters,
so that what is asked does not grow with the book.
"""

import string
import unicodedata

SHORTEST = 3
"""A shorter word has too many neighbours to be worth offering."""
LONGEST = 24
_PLAIN = string.ascii_lowercase + string.digits
_BLOCK = 128


def near_words(word: str) -> set[str]:
    """Words one slip away from a folded word, itself left out; none for a short one, a very long one or a number."""
    if not SHORTEST <= len(word) <= LONGEST or word.isdigit():
        return set()
    letters = letters_of(word)
    parts = [(word[:place], word[place:]) for place in range(len(word) + 1)]
    found = {before + after[1:] for before, after in parts if after}
    found |= {before + after[1] + after[0] + after[2:] for before, after in parts if len(after) > 1}
    found |= {before + letter + after[1:] for before, after in parts if after for letter in letters}
    found |= {before + letter + after for before, after in parts for letter in letters}
    return found - {word}


def letters_of(word: str) -> str:
    """The letters that may have been meant: plain ones and figures, and those of any other script that the word has."""
    blocks = {ord(letter) // _BLOCK for letter in word if not letter.isascii()}
    others = (chr(sign) for block in blocks for sign in range(block * _BLOCK, (block + 1) * _BLOCK))
    return _PLAIN + "".join(sign for sign in others if unicodedata.category(sign) in {"Ll", "Lo"})
