"""an approval that is taken back, with its reason

Revision ID: 20261130_withdrawn
Revises: 20261130_spoken
"""

import sqlalchemy as sa
from alembic import op

revision = "20261130_withdrawn"
down_revision = "20261130_spoken"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "approval_withdrawal",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("approval_id", sa.Integer(), nullable=False),
        sa.Column("reason", sa.String(200), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("on", sa.Date(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.CheckConstraint("reason <> ''", name=op.f("ck_approval_withdrawal_has_reason")),
        sa.ForeignKeyConstraint(
            ["approval_id"], ["approval.id"], name=op.f("fk_approval_withdrawal_approval_id_approval")
        ),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_approval_withdrawal_person_id_person")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_approval_withdrawal")),
        sa.UniqueConstraint("approval_id", name=op.f("uq_approval_withdrawal_approval_id")),
    )


def downgrade() -> None:
    op.drop_table("approval_withdrawal")
