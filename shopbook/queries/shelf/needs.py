"""What agreed jobs still need of each material, and how fast the shop uses it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from sqlalchemy import func, or_, select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job, Stage, StageUse
from shopbook.models.shelf import Material, Movement
from shopbook.queries.shelf.materials import best_by_role, materials_for_roles
from shopbook.queries.shelf.movements import STAGE_KINDS
from shopbook.trade.catalogue.kinds import WayUsed
from shopbook.trade.purposes import StagePurpose
from shopbook.trade.stock.movements import MovementKind

WATCHED_DAYS = 56
"""The shop's own use is read from so many days back: eight weeks, short enough to follow a season."""
RECORD_WEEKS = 26
"""How far back the deeper look at use goes."""
FEWEST_DAYS = 14
"""Less history than this says nothing about a day's use."""


@dataclass(frozen=True, slots=True)
class SpokenFor:
    """What one agreed job still needs of one material; `needed_on` None where no day is planned."""

    material_id: int
    job_id: int
    job_number: int
    quantity_thousandths: int
    needed_on: date | None


@dataclass(frozen=True, slots=True)
class _Use:
    stage_id: int
    job: tuple[int, int]
    needed_on: date | None
    material_id: int
    amount: int


def list_spoken_for(session: Session, day: date, in_use: Iterable[Material] | None = None) -> list[SpokenFor]:
    """Planned uses of agreed stages of open jobs, less what they have drawn already; by day, undated ones last.

    `in_use` are all materials in use where they are read already.
    Rework of an agreed job counts with them: it needs no yes. Stages that are finished or struck need nothing more; nor
    does the shop floor. A use without a material of its own is read as the material that stands for its role.
    """
    uses = _open_uses(session, day, in_use)
    drawn = _drawn(session, {use.stage_id for use in uses})
    needs: dict[tuple[int, tuple[int, int], date | None], int] = {}
    for use in uses:
        key = (use.stage_id, use.material_id)
        taken = min(drawn.get(key, 0), use.amount)
        drawn[key] = drawn.get(key, 0) - taken
        whose = (use.material_id, use.job, use.needed_on)
        needs[whose] = needs.get(whose, 0) + use.amount - taken
    found = [
        SpokenFor(material_id, job[0], job[1], amount, needed_on)
        for (material_id, job, needed_on), amount in needs.items()
        if amount > 0
    ]
    return sorted(found, key=lambda one: (one.needed_on or date.max, one.job_number, one.material_id))


def _open_uses(session: Session, day: date, in_use: Iterable[Material] | None) -> list[_Use]:
    rows = session.execute(
        select(StageUse, Stage.job_id, Job.number, Job.drop_off_on, Job.came_at)
        .join(Stage, Stage.id == StageUse.stage_id)
        .join(Job, Job.id == Stage.job_id)
        .where(
            Job.settled_at.is_(None),
            Job.called_off_at.is_(None),
            Job.handed_over_at.is_(None),
            Job.agreed_at.is_not(None),
            or_(Stage.agreed_at.is_not(None), Stage.purpose == StagePurpose.REWORK),
            Stage.finished_at.is_(None),
            Stage.struck_at.is_(None),
            StageUse.way != WayUsed.SHOP_SUPPLIES,
            StageUse.amount_thousandths > 0,
        )
        .order_by(Job.number, Stage.position, StageUse.id)
    ).all()
    if in_use is None:
        by_role = materials_for_roles(session, {use.role for use, *_ in rows if use.material_id is None})
    else:
        by_role = best_by_role(one for one in in_use if one.role)
    ids = {role: one.id for role, one in by_role.items()}
    return [
        _Use(use.stage_id, (job_id, number), _needed_on(day, came_at, drop_off_on), material_id, use.amount_thousandths)
        for use, job_id, number, drop_off_on, came_at in rows
        if (material_id := use.material_id or ids.get(use.role))
    ]


def _needed_on(day: date, came_at: datetime | None, drop_off_on: date | None) -> date | None:
    if came_at is not None:
        return day
    return max(drop_off_on, day) if drop_off_on else None


def _drawn(session: Session, stage_ids: Iterable[int]) -> dict[tuple[int, int], int]:
    """What these stages have taken already, by stage and material."""
    sums = session.execute(
        select(Movement.stage_id, Movement.material_id, func.sum(Movement.quantity_thousandths))
        .where(Movement.stage_id.in_(list(stage_ids)), Movement.kind.in_(STAGE_KINDS))
        .group_by(Movement.stage_id, Movement.material_id)
    )
    return {(stage_id, material_id): -int(amount) for stage_id, material_id, amount in sums if stage_id is not None}


def use_a_day(session: Session, day: date) -> Mapping[int, int]:
    """Thousandths that the shop uses of each material on a calendar day, by material id, from the last eight weeks.

    A material that has moved for less than two weeks is left out.
    """
    sums = session.execute(
        select(Movement.material_id, func.sum(Movement.quantity_thousandths), func.min(Movement.on))
        .where(
            Movement.on > day - timedelta(days=WATCHED_DAYS),
            Movement.on <= day,
            Movement.kind.in_((*STAGE_KINDS, MovementKind.WASTED)),
        )
        .group_by(Movement.material_id)
    )
    found = {}
    for material_id, amount, first in sums:
        days = (day - first).days + 1
        if days >= FEWEST_DAYS and amount < 0:
            found[material_id] = -int(amount) // days
    return found


def use_by_week(session: Session, day: date, material_ids: Iterable[int]) -> dict[int, list[int]]:
    """Thousandths used of each of these materials in each whole week before a day, the oldest first.

    At most half a year, from the week of a material's first use in it. A week in which more came back than
    was taken counts as none.
    """
    since = day - timedelta(weeks=RECORD_WEEKS)
    rows = session.execute(
        select(Movement.material_id, Movement.on, func.sum(Movement.quantity_thousandths))
        .where(Movement.material_id.in_(list(material_ids)), Movement.on >= since, Movement.on < day)
        .where(Movement.kind.in_((*STAGE_KINDS, MovementKind.WASTED)))
        .group_by(Movement.material_id, Movement.on)
        .order_by(Movement.material_id, Movement.on)
    )
    found: dict[int, list[int]] = {}
    for material_id, on, amount in rows:
        week = (on - since).days // 7
        weeks = found.setdefault(material_id, [0] * (RECORD_WEEKS - week))
        weeks[week - RECORD_WEEKS] -= int(amount)
    return {material_id: [max(amount, 0) for amount in weeks] for material_id, weeks in found.items()}


def needs_of_job(session: Session, job_id: int, day: date) -> list[tuple[Material, SpokenFor]]:
    """What one agreed job still needs, with the materials."""
    needs = [one for one in list_spoken_for(session, day) if one.job_id == job_id]
    asked = select(Material).where(Material.id.in_({one.material_id for one in needs}))
    by_id = {one.id: one for one in session.scalars(asked)}
    return [(by_id[one.material_id], one) for one in needs]
