"""why a part of a payment was moved

Revision ID: 20261130_move_reason
Revises: 20261130_returned_fee
"""

import sqlalchemy as sa
from alembic import op

revision = "20261130_move_reason"
down_revision = "20261130_returned_fee"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("allocation", sa.Column("reason", sa.String(200), nullable=False, server_default=""))


def downgrade() -> None:
    with op.batch_alter_table("allocation") as batch:
        batch.drop_column("reason")
