"""The kinds of thing that are bought in for one car, and where a part comes from."""

from enum import StrEnum


class PartKind(StrEnum):
    """What is bought for one job."""

    PART = "part"
    COLOUR = "colour"
    SUBLET = "sublet"
    FEE = "fee"


PART_KIND_WORDS: dict[PartKind, str] = {
    PartKind.PART: "part",
    PartKind.COLOUR: "paint mixed for this car",
    PartKind.SUBLET: "sublet work",
    PartKind.FEE: "fee",
}


class PartSource(StrEnum):
    """Where a part comes from; a quote has to say so."""

    NEW = "new"
    USED = "used"
    PATTERN = "pattern"
    EXCHANGE = "exchange"


PART_SOURCE_WORDS: dict[PartSource, str] = {
    PartSource.NEW: "new, from the manufacturer",
    PartSource.USED: "used",
    PartSource.PATTERN: "aftermarket",
    PartSource.EXCHANGE: "exchange",
}


def mark_part(below: str, name: str, word: str) -> str:
    """The words below an item of a paper with a part's mark behind its name; a part that they do not name is added.

    "Left headlight" that was bought used is "Left headlight, used"; without a word for it nothing changes.
    """
    if not word:
        return below
    if name in below:
        return below.replace(name, f"{name}, {word}", 1)
    return "; ".join(part for part in (below, f"{name}, {word}") if part)
