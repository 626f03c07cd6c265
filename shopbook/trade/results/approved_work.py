"""The work as it was planned when it was approved: its hours at the cost of an hour that day, and what it would use."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

from shopbook.trade.measures.amounts import divide_half_away


class WorkKind(StrEnum):
    """What a piece of planned work is money for."""

    LABOUR = "labour"
    MATERIALS = "materials"
    SUPPLIES = "supplies"
    PART = "part"
    COLOUR = "colour"
    SUBLET = "sublet"
    FEE = "fee"


BOUGHT = frozenset({WorkKind.PART, WorkKind.COLOUR, WorkKind.SUBLET, WorkKind.FEE})
"""What is bought in for one car."""


@dataclass(frozen=True, slots=True)
class ApprovedPiece:
    """One piece of planned work; `cost_minor` is what it was planned to cost.

    Labour has a skill, man-minutes and the mean cost of an hour of the people with that skill; materials have a role
    (or a material of no role) and an amount, shop supplies only their sum. `item_key` is the key of the quote's item
    that it belongs to and `line_key` that of the item's line for this skill; zero: of several items, or of none.
    """

    kind: WorkKind
    cost_minor: int = 0
    item_key: int = 0
    line_key: int = 0
    stage_id: int | None = None
    skill: str = ""
    minutes: int = 0
    hour_minor: int = 0
    role: str = ""
    material_id: int | None = None
    unit: str = ""
    amount_thousandths: int = 0

    @property
    def material_key(self) -> str:
        """By which its use is found again: the material named, else its role."""
        return material_key(self.role, self.material_id)


def material_key(role: str, material_id: int | None) -> str:
    """A material of a plan, by the role that it stands for; one that stands for none by itself."""
    return role or f"material {material_id or 0}"


def planned_labour(minutes: int, hour_minor: int, **given: object) -> ApprovedPiece:
    """Man-minutes of a skill at the cost of an hour: 360 minutes at 32.00 are planned to cost 192.00."""
    piece = ApprovedPiece(WorkKind.LABOUR, divide_half_away(minutes * hour_minor, 60), minutes=minutes)
    return replace(piece, hour_minor=hour_minor, **given)  # type: ignore[arg-type]  # fields of the piece by name


def mean_hours(skills: Mapping[int, Collection[str]], costs: Mapping[int, int], every: Iterable[str]) -> dict[str, int]:
    """What an hour of each skill costs on average: the mean over people with that skill whose cost is known.

    `skills` and `costs` are by person. Body work by people at 30.00 and 34.00: 32.00. A skill that nobody with a cost
    has is at the mean of everybody, and at zero while nobody's cost is known.
    """
    known = {person: cost for person, cost in costs.items() if cost and person in skills}
    of_all = _mean(known.values())
    return {
        skill: _mean([cost for person, cost in known.items() if skill in skills[person]]) or of_all for skill in every
    }


def _mean(costs: Iterable[int]) -> int:
    found = list(costs)
    return divide_half_away(sum(found), len(found)) if found else 0
