"""an approval keeps when it was given, the number called and who of the shop took the call

Revision ID: 20261130_said_at
Revises: 20261130_move_reason
"""

import sqlalchemy as sa
from alembic import op

revision = "20261130_said_at"
down_revision = "20261130_move_reason"
branch_labels = None
depends_on = None

_TAKEN_BY = "fk_approval_taken_by_id_person"


def upgrade() -> None:
    """An approval kept before was given when it was saved."""
    with op.batch_alter_table("approval") as batch:
        batch.add_column(sa.Column("said_at", sa.DateTime(timezone=True), nullable=True))
        batch.add_column(sa.Column("number_called", sa.String(200), nullable=False, server_default=""))
        batch.add_column(sa.Column("taken_by_id", sa.Integer(), nullable=True))
        batch.create_foreign_key(op.f(_TAKEN_BY), "person", ["taken_by_id"], ["id"])
    on = "" if op.get_bind().dialect.name == "sqlite" else " ON approval"
    # The ledger's guard goes; all of them are made anew after the migration.
    op.execute(f"DROP TRIGGER IF EXISTS guard_approval_update{on}")
    op.execute("UPDATE approval SET said_at = at")
    with op.batch_alter_table("approval") as batch:
        batch.alter_column("said_at", existing_type=sa.DateTime(timezone=True), nullable=False)


def downgrade() -> None:
    with op.batch_alter_table("approval") as batch:
        batch.drop_constraint(op.f(_TAKEN_BY), type_="foreignkey")
        for name in ("taken_by_id", "number_called", "said_at"):
            batch.drop_column(name)
