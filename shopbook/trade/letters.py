"""How a sentence is said: its first letter, large or small, its keys in the words of a country; when names are one."""

import re
import unicodedata
from collections.abc import Mapping, Sequence

_LONGEST_NAME = 200
"""What a column holds; folding makes some letters several."""
_KEYS = re.compile(r"\{([A-Za-z]\w*)\}")


def upper_first(words: str) -> str:
    """With a large first letter; the rest stays as it is, for it may hold a name."""
    return words[:1].upper() + words[1:]


def lower_first(words: str) -> str:
    """With a small first letter; the rest stays as it is, for it may hold a name."""
    return words[:1].lower() + words[1:]


def fold_name(name: str) -> str:
    """A person's name as it is compared: " SAM  weiß" and "Sam Weiss" are one, "José" and "Jose" are two."""
    folded = unicodedata.normalize("NFKC", unicodedata.normalize("NFKC", name).casefold())
    return " ".join(folded.split())[:_LONGEST_NAME]


def find_word(words: Mapping[str, str], key: str) -> str:
    """The word of a key, with a large first letter where the key has one; KeyError for a key that is not there."""
    found = words[key.lower()]
    return upper_first(found) if key[:1].isupper() else found


def say_in(words: Mapping[str, str], sentence: str) -> str:
    """A sentence of ours with its keys in these words: "{Colour} code" is "Color code". What is no key stays."""
    return _KEYS.sub(lambda key: find_word(words, key[1]) if key[1].lower() in words else key[0], sentence)


def plain_code(code: str) -> str:
    """A code said plainly where nothing has a name for it: "clear_medium" is "Clear medium"."""
    return code.replace("_", " ").capitalize()


def say_runs(numbers: Sequence[int]) -> str:
    """Rising numbers, those that follow each other as one: 1, 3, 4, 5 and 8 are "1, 3–5, 8"."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(f"{run[0]}–{run[-1]}" if len(run) > 1 else str(run[0]) for run in runs)
