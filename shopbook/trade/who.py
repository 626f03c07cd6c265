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
    """A name, a phone number or a plate, or a name with a number behind it.

    A number is six figures or more without letters. A plate has letters and figures in at most three short groups.
    Everything else is a name.
    """
    typed = " ".join(text.split())
    if not typed:
        return Who()
    behind = re.fullmatch(r"(.*?[^\d\s+(])[\s,;:]*([+(]?\d[\d\s()./-]{4,})", typed)
    if not re.search(r"[^\W\d_]", typed):
        return Who(phone=typed) if _figures(typed) >= SHORTEST_PHONE else Who(plate=typed)
    if behind and _figures(behind[2]) >= SHORTEST_PHONE:
        return Who(name=behind[1].strip(" ,;:"), phone=behind[2].strip())
    plain = re.sub(r"[\W_]", "", typed)
    groups = re.split(r"[\s-]+", typed)
    if _figures(typed) and len(plain) <= LONGEST_PLATE and len(groups) <= 3:
        return Who(plate=typed)
    return Who(name=typed)


def _figures(text: str) -> int:
    return sum(mark.isdigit() for mark in text)
