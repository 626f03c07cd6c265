"""The rows of the shelf: movements, and what there was when the last day ended."""

from collections.abc import Iterator
from datetime import date
from typing import Any

from sqlalchemy import ScalarSelect, func, select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job, Stage
from shopbook.models.shelf import Material, Movement
from shopbook.queries.reports.accountant.reading import FlatValues, read_rows


def list_flat_movements(session: Session, first: date, last: date) -> Iterator[FlatValues]:
    """Movements of these days, those of one day in the order of their posting; one statement."""
    asked = (
        select(
            Movement.id.label("movement_id"),
            *(Movement.on, Movement.kind, Movement.material_id, Material.unit, Movement.job_id, Movement.stage_id),
            Material.name.label("material"),
            Movement.quantity_thousandths.label("quantity"),
            Movement.value_minor.label("value"),
            Job.number.label("job_number"),
            Job.purpose.label("job_purpose"),
            Stage.purpose.label("stage_purpose"),
            Movement.returns_id.label("returns_movement_id"),
            Movement.reason,
        )
        .join(Material, Material.id == Movement.material_id)
        .outerjoin(Job, Job.id == Movement.job_id)
        .outerjoin(Stage, Stage.id == Movement.stage_id)
        .where(Movement.on.between(first, last))
    )
    return read_rows(session, asked.order_by(Movement.on, Movement.id))


def list_flat_stock(session: Session, last: date) -> Iterator[FlatValues]:
    """Every material with a quantity or a value when a day ended; one statement.

    What there is now less what has moved since, so that a month just gone is read quickly.
    """
    asked = select(
        Material.id.label("material_id"),
        Material.name.label("material"),
        Material.unit,
        (Material.on_hand_thousandths - _moved_since(last, Movement.quantity_thousandths)).label("quantity"),
        (Material.value_minor - _moved_since(last, Movement.value_minor)).label("value"),
    ).order_by(Material.name)
    return (_whole(row) for row in read_rows(session, asked) if row["quantity"] or row["value"])


def _moved_since(last: date, column: Any) -> ScalarSelect[Any]:
    """What of a column of a material's movements came after a day."""
    moved = select(func.coalesce(func.sum(column), 0))
    of_material = moved.where(Movement.material_id == Material.id, Movement.on > last)
    return of_material.correlate(Material).scalar_subquery()


def _whole(row: FlatValues) -> FlatValues:
    """PostgreSQL adds up to decimals; what is kept is whole."""
    return {**row, "quantity": int(row["quantity"]), "value": int(row["value"])}
