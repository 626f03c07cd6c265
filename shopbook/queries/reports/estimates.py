"""How far estimates were out: hours clocked and amounts used against the standard, from figures somebody touched."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.jobs import StageUse
from shopbook.models.shelf import Material, Movement
from shopbook.queries.reports.learning import TouchedHours, hours_changed_on, list_touched_hours, taught_by_code
from shopbook.queries.shelf.movements import STAGE_KINDS
from shopbook.trade.measures.amounts import divide_half_away

FEWEST = 3
"""Fewer cases say nothing about a standard."""
WORTH_SAYING_PERMILLE = 50


@dataclass(frozen=True, slots=True)
class EstimateOut:
    """One kind of estimate: how many cases, and by how many tenths of a percent more (or less) it took.

    Of a stage (by its `code`) also the mean standard of its cases, the shop's own figure beside it, on how many jobs,
    and `permille` where the shop's figures make a new standard: the old one times so many thousandths. Zero: they are
    too few yet, or its minutes stand with the panels.
    """

    words: str
    cases: int
    off_permille: int
    code: str = ""
    standard_minutes: int = 0
    yours_minutes: int = 0
    jobs: int = 0
    permille: int = 0


def list_estimates_out(
    session: Session, first: date, last: date, most: int = 6, *, day: date | None = None
) -> list[EstimateOut]:
    """Stages finished and materials measured from `first` to `last`, the furthest out first; six statements.

    Hours count where a clock ran on the stage alone or somebody typed them; amounts only where somebody changed the
    planned figure. What can be made a standard is judged as of `day` (without one: `last`): of a standard whose hours
    the shop has changed by then, only jobs opened since count.
    """
    found = [*_hours(session, first, last, day or last), *_amounts(session, first, last)]
    telling = [row for row in found if row.cases >= FEWEST and abs(row.off_permille) >= WORTH_SAYING_PERMILLE]
    # Of a stage of a few minutes a twentieth is no minute: nothing would change.
    telling = [row for row in telling if not row.code or row.yours_minutes != row.standard_minutes]
    return sorted(telling, key=lambda row: -abs(row.off_permille))[:most]


def _hours(session: Session, first: date, last: date, day: date) -> Iterable[EstimateOut]:
    """Where the shop's figures make a standard, the new one is said; else what the stages of these days took."""
    since = hours_changed_on(session, day)
    by_code: dict[str, list[TouchedHours]] = {}
    for one in list_touched_hours(session, first, last):
        if one.opened_on >= since.get(one.code, date.min):
            by_code.setdefault(one.code, []).append(one)
    taught = taught_by_code(session, day, since) if by_code else {}
    for code, cases in by_code.items():
        standard, took = sum(one.standard_minutes for one in cases), sum(one.minutes for one in cases)
        new = taught.get(code)
        permille = new.permille if new else divide_half_away(took * 1000, standard)
        mean = divide_half_away(standard, len(cases))
        yield EstimateOut(
            f"{cases[-1].name}, hours",
            len(cases),
            permille - 1000,
            code,
            mean,
            divide_half_away(mean * permille, 1000),
            len({one.job_id for one in cases}),
            new.permille if new else 0,
        )


def _amounts(session: Session, first: date, last: date) -> Iterable[EstimateOut]:
    used = (
        select(Movement.stage_id, Movement.material_id, (-func.sum(Movement.quantity_thousandths)).label("amount"))
        .where(
            Movement.on.between(first, last),
            Movement.kind.in_(STAGE_KINDS),
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
        # Found by stage: by its material every plan would be read that ever used it, for each of the month's stages.
        .join(
            StageUse,
            (StageUse.stage_id == used.c.stage_id) & (func.coalesce(StageUse.material_id, 0) == used.c.material_id),
        )
        .where(StageUse.amount_thousandths > 0)
        .group_by(Material.id, Material.name, Material.unit)
    )
    for name, unit, cases, planned, amount in rows:
        off = divide_half_away((int(amount) - int(planned)) * 1000, int(planned))
        yield EstimateOut(f"{name}, {unit}", cases, off)
