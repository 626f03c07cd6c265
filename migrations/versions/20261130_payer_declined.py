"""an extra keeps that its payer declined it, and why

Revision ID: 20261130_payer_declined
Revises: 20261130_said_at
"""

import sqlalchemy as sa
from alembic import op

revision = "20261130_payer_declined"
down_revision = "20261130_said_at"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("quote", sa.Column("payer_declined_at", sa.DateTime(timezone=True), nullable=True))
    op.add_column("quote", sa.Column("payer_declined_why", sa.String(200), nullable=False, server_default=""))


def downgrade() -> None:
    with op.batch_alter_table("quote") as batch:
        batch.drop_column("payer_declined_why")
        batch.drop_column("payer_declined_at")
