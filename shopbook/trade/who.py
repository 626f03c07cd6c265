"""One box for a name, a phone number or a plate: what was typed is told apart by its letters and figures."""

import re
from dataclasses import dataclass

SHORTEST_PHONE = 6
LONGEST_PLATE = 9


@dataclass(frozen=True, slots=True)
class Who:
    """What was typed, told apart; what it is not stays empty."""

    name: str = ""
    phone: str = ""
    plate: str = ""


def read_who(text: str) -> Who:
    """A name, a phone number or a plate, or a name with a number before or behind it.

    A number is six figures or more without letters: "555-0164 Rena Kolb" is Rena Kolb on 555-0164, and so is "Rena
    Kolb 555-0164". A plate has letters and figures in at most three short groups. Everything else is a name.
    """
    typed = " ".join(text.split())
    if not typed:
        return Who()
    if not re.search(r"[^\W\d_]", typed):
        return Who(phone=typed) if _figures(typed) >= SHORTEST_PHONE else Who(plate=typed)
    behind = re.fullmatch(r"(?P<name>.*?[^\d\s+(])[\s,;:]*(?P<phone>[+(]?\d[\d\s()./-]{4,})", typed)
    before = re.fullmatch(r"(?P<phone>[+(]?\d[\d\s()./-]{4,}?)[\s,;:–-]+(?P<name>[^\W\d_].*)", typed)
    # Six figures before a few letters are a plate in some countries; seven are a number.
    for found, shortest in ((behind, SHORTEST_PHONE), (before, SHORTEST_PHONE + _is_plate(typed))):
        if found and _figures(found["phone"]) >= shortest:
            return Who(name=found["name"].strip(" ,;:"), phone=found["phone"].strip())
    return Who(plate=typed) if _is_plate(typed) else Who(name=typed)


def _is_plate(typed: str) -> bool:
    plain = re.sub(r"[\W_]", "", typed)
    return bool(_figures(typed)) and len(plain) <= LONGEST_PLATE and len(re.split(r"[\s-]+", typed)) <= 3


def _figures(text: str) -> int:
    return sum(mark.isdigit() for mark in text)
