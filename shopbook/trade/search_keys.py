"""Search keys: what a plate, phone, name, car, VIN or job is found by, spelled one way, for a range on an index."""

import re
import unicodedata

SHORTEST_PHONE_END = 4
LONGEST_NUMBER = 10
"""Figures of a number that a column holds are fewer than these."""

_YEAR = re.compile(r"(19|20)[0-9][0-9]")


# Letters that Unicode does not take apart, though a keyboard without them writes the plain one.
_PLAIN = str.maketrans({"ø": "o", "ł": "l", "đ": "d", "ð": "d", "æ": "ae", "œ": "oe", "ı": "i", "þ": "th"})


def fold(text: str) -> str:
    """Lower case in the Unicode sense, marks taken off where people leave them out (é is e), any script kept."""
    lower = unicodedata.normalize("NFKD", text).casefold()
    spread = unicodedata.normalize("NFKD", lower).translate(_PLAIN)
    return unicodedata.normalize("NFC", "".join(mark for mark in spread if not _is_left_out(mark)))


def _is_left_out(mark: str) -> bool:
    # Combining classes of Unicode: accents from 200 up, Hebrew and Arabic points 10 to 36. Below 10 and between stand
    # signs that make another letter (Indic nukta and virama, Japanese voicing, Thai tones).
    placed = unicodedata.combining(mark)
    return placed >= 200 or 10 <= placed <= 36


def plate_key(plate: str) -> str:
    """A plate without spaces, dots and dashes: "KTR 204" and "ktr-204" are one."""
    return "".join(mark for mark in fold(plate) if mark.isalnum())


def phone_keys(phone: str) -> list[str]:
    """The figures of a phone number, whole and from the last seven and the last four on, so that an end finds it."""
    figures = "".join(str(unicodedata.digit(mark)) for mark in phone if mark.isdigit())
    ends = {figures, figures[-7:], figures[-SHORTEST_PHONE_END:]}
    return sorted(end for end in ends if len(end) >= SHORTEST_PHONE_END)


def name_keys(name: str) -> list[str]:
    """The words of a name, each a key; a word of parts (O'Brien) is found by each part and written as one."""
    whole = {"".join(_words(word)) for word in name.split()}
    return sorted({*_words(name), *whole} - {""})


def vin_keys(vin: str) -> list[str]:
    """A VIN or frame number whole, and its last six."""
    plain = plate_key(vin)
    return sorted({plain, plain[-6:]}) if plain else []


def car_keys(*said: str) -> list[str]:
    """The words by which a car is told from others (make, body, colour): "silver", "wagon"."""
    return sorted({word for text in said for word in _words(text)})


def asked_year(word: str) -> int | None:
    """The year of a car where a word is one; None for any other."""
    return int(word) if _YEAR.fullmatch(word) else None


def asked_number(typed: str, prefix: str = "") -> int | None:
    """The number that was typed of a paper, with the prefix that invoices are printed with or without; None for none.

    With "2026-" both "1042" and "2026-1042" are 1042.
    """
    plain, before = fold(typed).strip(), fold(prefix)
    figures = plain.removeprefix(before) if before else plain
    return int(figures) if figures.isascii() and figures.isdigit() and len(figures) < LONGEST_NUMBER else None


def asked_words(typed: str) -> list[str]:
    """What was typed into the search box as words to look for by name."""
    return list(dict.fromkeys(_words(typed)))


def asked_whole(typed: str) -> list[str]:
    """What was typed taken as one plate, phone number, VIN or job number: with letters, as figures, as a phone's end.

    A long number is also asked for by its last seven figures, so that +44 7700 900123 finds 07700 900123.
    """
    plain = plate_key(typed)
    figures = "".join(str(unicodedata.digit(mark)) for mark in typed if mark.isdigit())
    if any(mark.isalpha() for mark in typed):
        figures = ""
    return list(dict.fromkeys(key for key in (plain, figures, figures[-7:] if len(figures) > 7 else "") if key))


def _words(text: str) -> list[str]:
    # A combining sign belongs to its letter, though \w does not say so.
    apart = "".join(mark if mark.isalnum() or unicodedata.category(mark)[0] == "M" else " " for mark in fold(text))
    return [word for word in apart.split() if any(mark.isalnum() for mark in word)]
