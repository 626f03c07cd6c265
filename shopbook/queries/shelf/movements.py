"""The stock ledger: what a stage has drawn, one material's lines, the value on the shelf, the sums of a month."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy import ColumnElement, and_, func, select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.shelf import Material, Movement
from shopbook.trade.results.month import StockSums
from shopbook.trade.results.moved_stock import MovedValue, sum_moved
from shopbook.trade.stock.average_cost import StockProof, prove
from shopbook.trade.stock.below_zero import BelowZero
from shopbook.trade.stock.movements import UNDONE, Drawn, MovementKind, Posting, Stock

STAGE_KINDS = (MovementKind.ISSUED, MovementKind.RETURNED_FROM_STAGE)


def happened() -> ColumnElement[bool]:
    """Of the lines of a statement: that none of them was undone, and that they undo none."""
    undone = select(Movement.returns_id).where(Movement.reason == UNDONE, Movement.returns_id.is_not(None))
    return and_(Movement.reason != UNDONE, Movement.id.not_in(undone))


def get_drawn(session: Session, material_id: int, *, job_id: int | None, stage_id: int | None) -> Drawn:
    """What a stage (or, without one, a job outside its stages) still has of a material, less what came back."""
    asked = select(
        func.coalesce(func.sum(Movement.quantity_thousandths), 0), func.coalesce(func.sum(Movement.value_minor), 0)
    ).where(Movement.material_id == material_id, Movement.kind.in_(STAGE_KINDS), Movement.stage_id == stage_id)
    if stage_id is None:
        asked = asked.where(Movement.job_id == job_id)
    quantity, value = session.execute(asked).one()
    return Drawn(quantity_thousandths=-int(quantity), value_minor=-int(value))


def find_last_issue(session: Session, material_id: int, *, job_id: int | None, stage_id: int | None) -> Movement | None:
    """The newest line that took this material for a stage (or for a job outside its stages), or None."""
    asked = select(Movement).where(
        Movement.material_id == material_id, Movement.kind == MovementKind.ISSUED, Movement.stage_id == stage_id
    )
    if stage_id is None:
        asked = asked.where(Movement.job_id == job_id)
    return session.scalar(asked.order_by(Movement.id.desc()).limit(1))


@dataclass(frozen=True, slots=True)
class LedgerLine:
    """One line of a material's ledger with the number of the job it was for."""

    movement: Movement
    job_number: int | None


def list_movements(
    session: Session, material_id: int, *, before: int | None = None, limit: int = 50
) -> list[LedgerLine]:
    """The newest lines of one material, newest first; with `before` those older than that line."""
    asked = (
        select(Movement, Job.number)
        .outerjoin(Job, Job.id == Movement.job_id)
        .where(Movement.material_id == material_id)
        .order_by(Movement.id.desc())
        .limit(limit)
    )
    rows = session.execute(asked if before is None else asked.where(Movement.id < before))
    return [LedgerLine(movement, number) for movement, number in rows]


def stock_value(session: Session, last: date = date.max) -> int:
    """What the shelf was worth in the book at the end of a day, in minor units; one statement."""
    held = select(func.coalesce(func.sum(Material.value_minor), 0)).scalar_subquery()
    since = select(func.coalesce(func.sum(Movement.value_minor), 0)).where(Movement.on > last).scalar_subquery()
    return int(session.scalar(select(held - since)) or 0)


def prove_material(session: Session, material: Material) -> StockProof:
    """All lines of one material set against its running figures."""
    lines = session.execute(
        select(Movement.kind, Movement.quantity_thousandths, Movement.value_minor)
        .where(Movement.material_id == material.id)
        .order_by(Movement.id)
    )
    postings = [Posting(MovementKind(kind), quantity, value) for kind, quantity, value in lines]
    return prove(postings, Stock(material.on_hand_thousandths, material.value_minor))


@dataclass(frozen=True, slots=True)
class ShelfRead:
    """What moved on the shelf over some days, and what it was worth at their end, in minor units."""

    last: date
    moved: Sequence[MovedValue]
    closing_minor: int

    def sums(self, first: date, last: date) -> StockSums:
        """The movements of the days from `first` to `last` of it, both included, summed by kind."""
        since = sum(row.value_minor for row in self.moved if row.on > last)
        return sum_moved((row for row in self.moved if first <= row.on <= last), self.closing_minor - since)


def read_shelf(session: Session, first: date, last: date) -> ShelfRead:
    """The days from `first` to `last`, both included; two statements.

    What was worth when is the shelf's value now less what has moved since, so that a month just gone is read quickly.
    """
    keys = (Movement.on, Movement.kind, Movement.job_id.is_not(None))
    asked = select(*keys, func.sum(Movement.value_minor)).where(Movement.on.between(first, last)).group_by(*keys)
    moved = [
        MovedValue(on, MovementKind(kind), bool(is_job), int(value))
        for on, kind, is_job, value in session.execute(asked)
    ]
    return ShelfRead(last, moved, stock_value(session, last))


def below_zero(session: Session, last: date) -> BelowZero:
    """The materials that the book held less than nothing of at the end of a day; one statement."""
    moved = (
        select(
            Movement.material_id,
            func.sum(Movement.quantity_thousandths).label("quantity"),
            func.sum(Movement.value_minor).label("value"),
        )
        .where(Movement.on > last)
        .group_by(Movement.material_id)
        .subquery()
    )
    held = Material.on_hand_thousandths - func.coalesce(moved.c.quantity, 0)
    value = func.sum(Material.value_minor - func.coalesce(moved.c.value, 0))
    asked = select(func.count(), value).select_from(Material).outerjoin(moved, moved.c.material_id == Material.id)
    count, worth = session.execute(asked.where(held < 0)).one()
    return BelowZero(count, int(worth or 0))
