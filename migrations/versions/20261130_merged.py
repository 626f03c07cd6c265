"""a customer may be another one: its row points at that one

Revision ID: 20261130_merged
Revises: 20261130_withdrawn
"""

import sqlalchemy as sa
from alembic import op

revision = "20261130_merged"
down_revision = "20261130_withdrawn"
branch_labels = None
depends_on = None

_KEY = "fk_customer_merged_into_id_customer"


def upgrade() -> None:
    with op.batch_alter_table("customer") as batch:
        batch.add_column(sa.Column("merged_into_id", sa.Integer(), nullable=True))
        batch.create_foreign_key(op.f(_KEY), "customer", ["merged_into_id"], ["id"])
    op.create_index(op.f("ix_customer_merged_into_id"), "customer", ["merged_into_id"])


def downgrade() -> None:
    op.drop_index(op.f("ix_customer_merged_into_id"), "customer")
    with op.batch_alter_table("customer") as batch:
        batch.drop_constraint(op.f(_KEY), type_="foreignkey")
        batch.drop_column("merged_into_id")
