"""what papers must carry: a customer's certificate of exemption, the shop's registration and the prefix of its numbers

Revision ID: 20261130_papers
Revises: 20261130_nameless
"""

import sqlalchemy as sa
from alembic import op

revision = "20261130_papers"
down_revision = "20261130_nameless"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("customer", sa.Column("exemption", sa.Text(), nullable=False, server_default=""))
    op.add_column("book", sa.Column("number_prefix", sa.String(200), nullable=False, server_default=""))
    op.add_column("book", sa.Column("registration_number", sa.String(200), nullable=False, server_default=""))


def downgrade() -> None:
    with op.batch_alter_table("book") as batch:
        batch.drop_column("registration_number")
        batch.drop_column("number_prefix")
    with op.batch_alter_table("customer") as batch:
        batch.drop_column("exemption")
