"""a rest that moved keeps its day, and what was set against papers is found by day

Revision ID: 20261130_as_of
Revises: 20261130_house_costs
"""

import sqlalchemy as sa
from alembic import op

revision = "20261130_as_of"
down_revision = "20261130_house_costs"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """A rest that moved before takes the day of the newest such line in the log of its paper."""
    op.add_column("invoice_payer", sa.Column("on", sa.Date(), nullable=True))
    on = "" if op.get_bind().dialect.name == "sqlite" else " ON invoice_payer"
    op.execute(f"DROP TRIGGER IF EXISTS guard_invoice_payer_update{on}")
    op.execute(
        'UPDATE invoice_payer SET "on" = (SELECT max(log_line."on") FROM log_line WHERE log_line.act = '
        "'move_rest' AND log_line.subject = 'invoice' AND log_line.subject_id = invoice_payer.invoice_id) "
        "WHERE words = 'moved'"
    )
    op.create_index(op.f("ix_invoice_payer_on"), "invoice_payer", ["on"])
    op.create_index(op.f("ix_allocation_on"), "allocation", ["on"])


def downgrade() -> None:
    op.drop_index(op.f("ix_allocation_on"), "allocation")
    op.drop_index(op.f("ix_invoice_payer_on"), "invoice_payer")
    with op.batch_alter_table("invoice_payer") as batch:
        batch.drop_column("on")
