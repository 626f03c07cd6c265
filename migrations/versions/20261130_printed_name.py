"""a customer's name in letters that papers can print

Revision ID: 20261130_printed_name
Revises: 20261130_whose_sum
"""

import sqlalchemy as sa
from alembic import op

revision = "20261130_printed_name"
down_revision = "20261130_decimals"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("customer", sa.Column("printed_name", sa.String(200), nullable=False, server_default=""))


def downgrade() -> None:
    with op.batch_alter_table("customer") as batch:
        batch.drop_column("printed_name")
