"""How far estimates were out: hours clocked and amounts used against the standard, from figures somebody touched."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.floor import ClockEntry, ClockShare
from shopbook.models.jobs import Stage, StageUse
from shopbook.models.shelf import Material, Movement
from shopbook.trade.amounts import divide_half_away
from shopbook.trade.average_cost import MovementKind

FEWEST = 3
"""Fewer cases say nothing about a standard."""
WORTH_SAYING_PERMILLE = 50


@dataclass(frozen=True, slots=True)
class EstimateOut:
    """One kind of estimate: how many cases, and by how many tenths of a percent more (or less) it took."""

    words: str
    cases: int
    off_permille: int


def list_estimates_out(session: Session, first: date, last: date, most: int = 6) -> list[EstimateOut]:
    """Stages finished and materials measured from `first` to `last`, the furthest out first; two statements.

    Hours count where a clock ran or somebody typed them; amounts only where somebody changed the planned figure.
    """
    found = [*_hours(session, first, last), *_amounts(session, first, last)]
    telling = [row for row in found if row.cases >= FEWEST and abs(row.off_permille) >= WORTH_SAYING_PERMILLE]
    return sorted(telling, key=lambda row: -abs(row.off_permille))[:most]


def _hours(session: Session, first: date, last: date) -> Iterable[EstimateOut]:
    took = (
        select(ClockShare.stage_id, func.sum(ClockShare.minutes).label("minutes"))
        .join(ClockEntry, ClockEntry.id == ClockShare.entry_id)
        .group_by(ClockShare.stage_id)
        .having(func.max(ClockEntry.on).between(first, last))
        .subquery()
    )
    rows = session.execute(
        select(func.max(Stage.name), func.count(), func.sum(Stage.standard_minutes), func.sum(took.c.minutes))
        .join(took, took.c.stage_id == Stage.id)
        .where(Stage.finished_at.is_not(None), Stage.standard_minutes > 0, took.c.minutes > 0)
        .group_by(Stage.code)
    )
    for name, cases, planned, minutes in rows:
        yield EstimateOut(f"{name}, hours", cases, divide_half_away((int(minutes) - int(planned)) * 1000, int(planned)))


def _amounts(session: Session, first: date, last: date) -> Iterable[EstimateOut]:
    used = (
        select(Movement.stage_id, Movement.material_id, (-func.sum(Movement.quantity_thousandths)).label("amount"))
        .where(
            Movement.on.between(first, last),
            Movement.kind.in_((MovementKind.ISSUED, MovementKind.RETURNED_FROM_STAGE)),
            ~Movement.is_assumed,
            Movement.stage_id.is_not(None),
        )
        .group_by(Movement.stage_id, Movement.material_id)
        .subquery()
    )
    rows = session.execute(
        select(
            Material.name, Material.unit, func.count(), func.sum(StageUse.amount_thousandths), func.sum(used.c.amount)
        )
        .join(used, used.c.material_id == Material.id)
        .join(StageUse, (StageUse.stage_id == used.c.stage_id) & (StageUse.material_id == used.c.material_id))
        .where(StageUse.amount_thousandths > 0)
        .group_by(Material.id, Material.name, Material.unit)
    )
    for name, unit, cases, planned, amount in rows:
        off = divide_half_away((int(amount) - int(planned)) * 1000, int(planned))
        yield EstimateOut(f"{name}, {unit}", cases, off)
