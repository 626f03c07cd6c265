"""A saved picture, what it is for, and how large it may be."""

from dataclasses import dataclass
from enum import StrEnum

LARGEST_BYTES = 20 * 1024 * 1024
MOST_PIXELS = 60_000_000
"""A phone's largest picture has about fifty million; more is no picture of a car."""


class PicturePurpose(StrEnum):
    """What a picture shows or proves."""

    DAMAGE = "damage"
    WAS_THERE = "was_there"
    MESSAGE = "message"
    DONE = "done"
    CARD = "card"


@dataclass(frozen=True, slots=True)
class KeptPicture:
    """A picture that lies on disk: the hashes it and its thumbnail are named by, pixels and bytes."""

    sha256: str
    thumbnail_sha256: str
    width: int
    height: int
    size_bytes: int
