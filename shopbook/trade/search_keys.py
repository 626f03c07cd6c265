"""Search keys: what a plate, phone, name, VIN or job number is found by, spelled one way, for a range on an index."""

import re
import unicodedata

SHORTEST_PHONE_END = 4


def fold(text: str) -> str:
    """Lower case in the Unicode sense, marks taken off where they can be (é is e), any script kept."""
    spread = unicodedata.normalize("NFKD", text.casefold())
    return unicodedata.normalize("NFC", "".join(mark for mark in spread if not unicodedata.combining(mark)))


def plate_key(plate: str) -> str:
    """A plate without spaces, dots and dashes: "KTR 204" and "ktr-204" are one."""
    return "".join(mark for mark in fold(plate) if mark.isalnum())


def phone_keys(phone: str) -> list[str]:
    """The figures of a phone number, whole and from the last seven and the last four on, so that an end finds it."""
    figures = "".join(str(unicodedata.digit(mark)) for mark in phone if mark.isdigit())
    ends = {figures, figures[-7:], figures[-SHORTEST_PHONE_END:]}
    return sorted(end for end in ends if len(end) >= SHORTEST_PHONE_END)


def name_keys(name: str) -> list[str]:
    """The words of a name, each a key."""
    return sorted(set(_words(name)))


def vin_keys(vin: str) -> list[str]:
    """A VIN or frame number whole, and its last six."""
    plain = plate_key(vin)
    return sorted({plain, plain[-6:]}) if plain else []


def asked_words(typed: str) -> list[str]:
    """What was typed into the search box as words to look for by name."""
    return list(dict.fromkeys(_words(typed)))


def asked_whole(typed: str) -> list[str]:
    """What was typed taken as one plate, phone number, VIN or job number: spelled with and without letters."""
    plain = plate_key(typed)
    figures = "".join(str(unicodedata.digit(mark)) for mark in typed if mark.isdigit())
    is_number = not any(mark.isalpha() for mark in typed) and figures
    return list(dict.fromkeys(key for key in (plain, figures if is_number else "") if key))


def _words(text: str) -> list[str]:
    return [word for word in re.split(r"[\W_]+", fold(text)) if word]
