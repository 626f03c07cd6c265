"""fixed costs, how a person is paid, and whether time off is

Revision ID: 20261130_house_costs
Revises: 20261130_way_back
"""

import sqlalchemy as sa
from alembic import op

revision = "20261130_house_costs"
down_revision = "20261130_way_back"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Time off of before is paid; everybody is paid by attendance until somebody says otherwise."""
    op.create_table(
        "fixed_cost",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("amount_minor", sa.BigInteger(), nullable=False),
        sa.Column("per", sa.String(32), nullable=False),
        sa.Column("from_on", sa.Date(), nullable=False),
        sa.Column("until_on", sa.Date(), nullable=True),
        sa.Column("struck_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint("amount_minor >= 0", name=op.f("ck_fixed_cost_not_negative")),
        sa.CheckConstraint("per IN ('month', 'quarter', 'year')", name=op.f("ck_fixed_cost_known_per")),
        sa.CheckConstraint("until_on IS NULL OR until_on >= from_on", name=op.f("ck_fixed_cost_ends_later")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_fixed_cost")),
    )
    op.create_table(
        "person_week",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("weekly_minutes", sa.Integer(), nullable=True),
        sa.Column("weekdays", sa.Text(), nullable=False),
        sa.Column("from_on", sa.Date(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("by_person_id", sa.Integer(), nullable=True),
        sa.CheckConstraint("weekly_minutes IS NULL OR weekly_minutes >= 0", name=op.f("ck_person_week_not_negative")),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_person_week_person_id_person")),
        sa.ForeignKeyConstraint(["by_person_id"], ["person.id"], name=op.f("fk_person_week_by_person_id_person")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_person_week")),
    )
    op.create_index(op.f("ix_person_week_person_id"), "person_week", ["person_id"])
    op.add_column("absence", sa.Column("is_paid", sa.Boolean(), nullable=False, server_default=sa.true()))


def downgrade() -> None:
    op.drop_column("absence", "is_paid")
    op.drop_index(op.f("ix_person_week_person_id"), "person_week")
    op.drop_table("person_week")
    op.drop_table("fixed_cost")
