"""a rate of tax says where and when it was read, and which kinds of line it falls on beside a part or paint

Rates of books begun before have neither: they stay as they are, as the shop confirmed them.

Revision ID: 20261130_tax_sources
Revises: 20261130_quoted_at
"""

import sqlalchemy as sa
from alembic import op

revision = "20261130_tax_sources"
down_revision = "20261130_quoted_at"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("tax_rate", sa.Column("kinds_with_goods", sa.Text(), nullable=False, server_default="[]"))
    op.add_column("tax_rate", sa.Column("source", sa.String(length=200), nullable=False, server_default=""))
    op.add_column("tax_rate", sa.Column("read_on", sa.Date(), nullable=True))


def downgrade() -> None:
    op.drop_column("tax_rate", "read_on")
    op.drop_column("tax_rate", "source")
    op.drop_column("tax_rate", "kinds_with_goods")
