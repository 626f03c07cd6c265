"""What is answered when a plate is typed that another car of the book has: "same car?"."""

from enum import StrEnum


class SameCar(StrEnum):
    """The car of the book, whoever had it before; or another one with that plate."""

    SAME = "same"
    ANOTHER = "another"


SAME_CAR_WORDS = {SameCar.SAME: "Yes, same car", SameCar.ANOTHER: "No, another car"}
