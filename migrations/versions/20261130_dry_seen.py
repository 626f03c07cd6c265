"""somebody has seen that a coat is dry

Revision ID: 20261130_dry_seen
Revises: 20261130_opening_lots
"""

import sqlalchemy as sa
from alembic import op

revision = "20261130_dry_seen"
down_revision = "20261130_opening_lots"
branch_labels = None
depends_on = None


def upgrade() -> None:
    if "dry_seen_at" in {column["name"] for column in sa.inspect(op.get_bind()).get_columns("stage")}:
        return  # A program of one day took this step before it sealed a book.
    op.add_column("stage", sa.Column("dry_seen_at", sa.DateTime(timezone=True), nullable=True))


def downgrade() -> None:
    op.drop_column("stage", "dry_seen_at")
