"""Who may do what: one table of area and verb by role. What is not in it is refused."""

from dataclasses import dataclass, field
from enum import StrEnum


class Role(StrEnum):
    """What a person is in the shop; one person may be all three."""

    DESK = "desk"
    TECHNICIAN = "technician"
    OWNER = "owner"


_ALL = frozenset(Role)
_DESK = frozenset({Role.DESK, Role.OWNER})
_FLOOR = frozenset({Role.TECHNICIAN, Role.OWNER})
_OWNER = frozenset({Role.OWNER})

PERMISSIONS: dict[tuple[str, str], frozenset[Role]] = {
    ("shop", "see"): _ALL,
    ("shop", "set"): _OWNER,
    ("shop", "people"): _OWNER,
    ("shop", "device"): _DESK,
    ("customers", "see"): _DESK,
    ("customers", "change"): _DESK,
    ("customers", "erase"): _OWNER,
    ("shelf", "see"): _ALL,
    ("shelf", "use"): _ALL,
    ("shelf", "change"): _DESK,
    ("shelf", "order"): _DESK,
    ("jobs", "see"): _ALL,
    ("jobs", "change"): _DESK,
    ("jobs", "look"): _ALL,
    ("floor", "see"): _ALL,
    ("floor", "work"): _ALL,
    ("floor", "hours"): _DESK,
    ("diary", "see"): _DESK,
    ("diary", "change"): _DESK,
    ("money", "see"): _DESK,
    ("money", "change"): _DESK,
    ("money", "let_go"): _DESK,
    ("money", "write_off"): _OWNER,
    ("money", "close"): _OWNER,
    ("reports", "today"): _DESK,
    ("reports", "cost"): _OWNER,
    ("reports", "month"): _OWNER,
}
"""("jobs", "look") is what the floor may add to a job: pictures, gauge readings, troubles. Cost figures of a job
("reports", "cost") are the owner's, and so is writing off debt past the desk's limit ("money", "write_off")."""


@dataclass(frozen=True, slots=True)
class Actor:
    """The person at the screen, as far as a service must know. `person_id` is None for the program itself."""

    person_id: int | None
    name: str = ""
    roles: frozenset[Role] = field(default=frozenset())
    skills: frozenset[str] = field(default=frozenset())

    def may(self, area: str, verb: str) -> bool:
        """Whether one of the person's roles allows the verb in the area; False for what the table does not name."""
        return bool(self.roles & PERMISSIONS.get((area, verb), frozenset()))


THE_PROGRAM = Actor(None, "Shopbook", frozenset(Role))
"""Who acts when nobody does: the first run, the nightly copy, the demo's builder."""
