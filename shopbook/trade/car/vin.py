"""Vehicle identification numbers by 49 CFR 565.15: what is doubtful about one, and what it may have meant.

Nothing here refuses a number. Older cars and cars made for home markets have other lengths, and only cars for North
America must carry a check digit, so a doubt is a warning that a person may ignore.
"""

import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from shopbook.trade.measures.locales import write_list

LENGTH = 17
_CHECK_PLACE = 8
_YEAR_PLACE = 9

# 49 CFR 565.15, tables III and IV: what a character counts, and the weight of its place.
_VALUES = {
    **{str(figure): figure for figure in range(10)},
    **dict(zip("ABCDEFGH", range(1, 9), strict=True)),
    **dict(zip("JKLMN", range(1, 6), strict=True)),
    "P": 7,
    "R": 9,
    **dict(zip("STUVWXYZ", range(2, 10), strict=True)),
}
_WEIGHTS = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)

# 49 CFR 565.15, table VII: position 10 runs through these from 1980, and again from 2010.
_YEAR_CODES = "ABCDEFGHJKLMNPRSTVWXY123456789"
_YEAR_CYCLES = (1980, 2010)

_NEVER_USED = {"I": "1", "O": "0", "Q": "0"}
_LOOK_ALIKE = ("0D", "8B", "5S", "2Z", "17", "1L", "6G", "4A", "38", "UV", "MN", "EF", "VY", "PR")


class VinKind(StrEnum):
    """What was typed."""

    EMPTY = "empty"
    VIN = "vin"
    FRAME_NUMBER = "frame number"


class VinDoubt(StrEnum):
    """Why a number is doubtful."""

    LENGTH = "length"
    CHARACTERS = "characters"
    LETTERS = "letters"
    CHECK_DIGIT = "check_digit"
    CHECK_DIGIT_ABROAD = "check_digit_abroad"


@dataclass(frozen=True, slots=True)
class VinWarning:
    """One doubt as a finished sentence; `offered` is the whole number it may have meant, where that is plain."""

    code: VinDoubt
    sentence: str
    offered: str | None = None


@dataclass(frozen=True, slots=True)
class VinReport:
    """What a typed number is; `model_years` are those its code can mean, the likeliest first, empty when none."""

    kind: VinKind
    normalised: str
    warnings: tuple[VinWarning, ...] = ()
    model_years: tuple[int, ...] = ()


def normalise_vin(text: str) -> str:
    """Capital letters and figures alone, in any script; spaces, dashes and dots are passed over."""
    folded = unicodedata.normalize("NFKC", text).upper()
    return "".join(character for character in folded if character.isalnum())


def check_digit(vin: str) -> str | None:
    """The character that position 9 should hold, "0" to "9" or "X"; None where the rule has no value for a character.

    Source: 49 CFR 565.15(c): weighted sum of the other places, remainder of eleven, ten written X.
    """
    if len(vin) != LENGTH:
        return None
    others = [(character, weight) for character, weight in zip(vin, _WEIGHTS, strict=True) if weight]
    if any(character not in _VALUES for character, _ in others):
        return None
    remainder = sum(_VALUES[character] * weight for character, weight in others) % 11
    return "X" if remainder == 10 else str(remainder)


def is_check_digit_right(vin: str) -> bool:
    """Whether 17 characters have the right check digit."""
    return len(vin) == LENGTH and vin[_CHECK_PLACE] == check_digit(vin)


def examine_vin(text: str, *, latest_year: int | None = None) -> VinReport:
    """What was typed as a VIN or frame number, with its doubts; never refuses anything.

    `latest_year` leaves out model years that cannot have been built yet.
    """
    vin = normalise_vin(text)
    if not vin:
        return VinReport(VinKind.EMPTY, "")
    if len(vin) != LENGTH:
        return VinReport(VinKind.FRAME_NUMBER, vin, (_length_warning(vin),))
    return VinReport(VinKind.VIN, vin, tuple(_doubts(vin)), model_years(vin, latest_year=latest_year))


def model_years(vin: str, *, latest_year: int | None = None) -> tuple[int, ...]:
    """The model years that position 10 can mean, the likelier first.

    For cars and light trucks of North America a figure in position 7 points before 2010, a letter to 2010 and after
    (73 FR 23367, 2008); heavier vehicles and other continents do not follow it, so both years are kept.
    """
    if len(vin) != LENGTH or vin[_YEAR_PLACE] not in _YEAR_CODES:
        return ()
    years = [cycle + _YEAR_CODES.index(vin[_YEAR_PLACE]) for cycle in _YEAR_CYCLES]
    if _is_north_american(vin) and vin[6].isalpha():
        years.reverse()
    return tuple(year for year in years if latest_year is None or year <= latest_year)


def _is_north_american(vin: str) -> bool:
    return vin[0] in "12345"


def _length_warning(vin: str) -> VinWarning:
    sentence = (
        f"This has {len(vin)} characters. Most cars since 1981 have 17, but older and home-market cars have fewer. "
        "It is saved as a frame number."
    )
    if LENGTH - 2 <= len(vin) <= LENGTH + 2:
        sentence = f"This has {len(vin)} characters, but a VIN has 17. Check for a missing or repeated one."
    return VinWarning(VinDoubt.LENGTH, sentence)


def _doubts(vin: str) -> Iterator[VinWarning]:
    strange = sorted({character for character in vin if character not in _VALUES and character not in _NEVER_USED})
    if strange:
        yield VinWarning(VinDoubt.CHARACTERS, f"A VIN has only plain letters and numbers, not {', '.join(strange)}.")
        return
    unused = sorted(set(vin) & set(_NEVER_USED))
    if unused:
        yield _letters_warning(vin, unused)
    elif not is_check_digit_right(vin):
        yield _check_digit_warning(vin)


def _letters_warning(vin: str, unused: list[str]) -> VinWarning:
    read = "".join(_NEVER_USED.get(character, character) for character in vin)
    sentence = f"A VIN never has the letters I, O or Q, but this has {write_list(unused)}."
    if is_check_digit_right(read):
        return VinWarning(VinDoubt.LETTERS, f"{sentence} It is valid with 1 and 0 instead.", read)
    return VinWarning(VinDoubt.LETTERS, f"{sentence} They are usually 1 and 0.")


def _check_digit_warning(vin: str) -> VinWarning:
    if not _is_north_american(vin) and vin[_CHECK_PLACE] != "X" and not _is_misread_plain(vin):
        sentence = (
            "The check digit does not match. Cars built outside North America need not have one, so this may be right. "
            "Compare it with the VIN plate."
        )
        return VinWarning(VinDoubt.CHECK_DIGIT_ABROAD, sentence)
    offered = _likely_meant(vin)
    sentence = "The check digit does not match, so a character is probably mistyped. Compare it with the VIN plate."
    if offered:
        sentence = (
            f"The check digit does not match. It would with {_difference(vin, offered)}. Compare it with the VIN plate."
        )
    return VinWarning(VinDoubt.CHECK_DIGIT, sentence, offered)


def _is_misread_plain(vin: str) -> bool:
    """Whether a character stands where the rule lets only figures stand (and X in position 9)."""
    return _misread_places(vin) != []


def _misread_places(vin: str) -> list[int]:
    serial = [place for place in range(LENGTH - 4, LENGTH) if not vin[place].isdigit()]
    return serial + ([] if vin[_CHECK_PLACE] in "0123456789X" else [_CHECK_PLACE])


def _likely_meant(vin: str) -> str | None:
    """The one number a single look-alike or one swap of neighbours away that is right; None when several are."""
    plain = _misread_places(vin)
    readings = {
        reading
        for reading in (*_look_alikes(vin), *_swaps(vin))
        if is_check_digit_right(reading) and not _misread_places(reading) and reading[_YEAR_PLACE] in _YEAR_CODES
    }
    if plain:
        readings = {reading for reading in readings if all(reading[place] != vin[place] for place in plain)}
    return readings.pop() if len(readings) == 1 else None


def _look_alikes(vin: str) -> Iterator[str]:
    for place, character in enumerate(vin):
        for pair in _LOOK_ALIKE:
            if character in pair and (place != _CHECK_PLACE or character not in "0123456789X"):
                yield vin[:place] + pair.replace(character, "") + vin[place + 1 :]


def _swaps(vin: str) -> Iterator[str]:
    for place in range(LENGTH - 1):
        if vin[place] != vin[place + 1]:
            yield vin[:place] + vin[place + 1] + vin[place] + vin[place + 2 :]


def _difference(vin: str, offered: str) -> str:
    places = [place for place in range(LENGTH) if vin[place] != offered[place]]
    first, last = places[0], places[-1]
    where = f"position {first + 1}" if first == last else f"positions {first + 1} and {last + 1}"
    return f"{offered[first : last + 1]} for {vin[first : last + 1]} in {where}"
