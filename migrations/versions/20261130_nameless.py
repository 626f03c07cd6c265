"""a small job done at once needs neither customer nor car

Revision ID: 20261130_nameless
Revises: 20261130_door
"""

from datetime import UTC, datetime

import sqlalchemy as sa
from alembic import op

revision = "20261130_nameless"
down_revision = "20261130_door"
branch_labels = None
depends_on = None

_CHECK = "ck_job_somebody_or_a_car"
_RULE = "customer_id IS NOT NULL OR vehicle_id IS NOT NULL"


def upgrade() -> None:
    with op.batch_alter_table("job") as batch:
        batch.drop_constraint(op.f(_CHECK), type_="check")


def downgrade() -> None:
    """Jobs of nobody become those of one customer who says so: before, each job had somebody or a car."""
    _name_the_nameless()
    with op.batch_alter_table("job") as batch:
        batch.create_check_constraint(op.f(_CHECK), _RULE)


def _name_the_nameless() -> None:
    job = sa.table("job", sa.column("customer_id", sa.Integer), sa.column("vehicle_id", sa.Integer))
    nameless = job.c.customer_id.is_(None) & job.c.vehicle_id.is_(None)
    book = op.get_bind()
    if not book.scalar(sa.select(sa.func.count()).select_from(job).where(nameless)):
        return
    customer = sa.table(
        "customer",
        sa.column("id", sa.Integer),
        *(sa.column(name, sa.Text) for name in ("kind", "name", "phone", "mail", "address", "tax_number", "note")),
        sa.column("is_tax_registered", sa.Boolean),
        sa.column("pays_within_days", sa.Integer),
        sa.column("created_at", sa.DateTime(timezone=True)),
        sa.column("revision", sa.Integer),
    )
    words = dict.fromkeys(("phone", "mail", "address", "tax_number", "note"), "")
    added = {"kind": "private", "name": "No name", "is_tax_registered": False, "pays_within_days": 0, "revision": 1}
    book.execute(customer.insert().values(**words, **added, created_at=datetime(2026, 11, 30, tzinfo=UTC)))
    newest = book.scalar(sa.select(sa.func.max(customer.c.id)))
    book.execute(job.update().where(nameless).values(customer_id=newest))
