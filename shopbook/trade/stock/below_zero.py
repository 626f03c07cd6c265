"""What the book says a shelf holds less than nothing of: it was used before anybody entered that it came."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class BelowZero:
    """So many materials, and what they are worth together in minor units: zero or less.

    A shelf of 1,240.00 in the book, of which clips at −9 pieces stand for −4.50, is 1,244.50 and 4.50 below zero.
    """

    materials: int = 0
    value_minor: int = 0
