"""a payer's approval keeps three figures, how an older one is read, and betterment

Revision ID: 20261130_whose_sum
Revises: 20261130_given
"""

import sqlalchemy as sa
from alembic import op

revision = "20261130_whose_sum"
down_revision = "20261130_given"
branch_labels = None
depends_on = None

_FIGURES = ("repair_total_minor", "excess_minor", "pays_minor")
_CHECK = "ck_agreement_pays_not_negative"


def upgrade() -> None:
    with op.batch_alter_table("agreement") as batch:
        for name in _FIGURES:
            batch.add_column(sa.Column(name, sa.BigInteger(), nullable=True))
        batch.create_check_constraint(op.f(_CHECK), "pays_minor IS NULL OR pays_minor >= 0")
    op.add_column("job_payer", sa.Column("betterment_minor", sa.BigInteger(), nullable=False, server_default="0"))
    op.add_column("job_payer", sa.Column("betterment_code", sa.String(32), nullable=False, server_default=""))
    op.create_table(
        "approval_reading",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("agreement_id", sa.Integer(), nullable=False),
        sa.Column("pays_minor", sa.BigInteger(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("on", sa.Date(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(
            ["agreement_id"], ["agreement.id"], name=op.f("fk_approval_reading_agreement_id_agreement")
        ),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_approval_reading_person_id_person")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_approval_reading")),
    )
    op.create_index(op.f("ix_approval_reading_agreement_id"), "approval_reading", ["agreement_id"])


def downgrade() -> None:
    op.drop_index(op.f("ix_approval_reading_agreement_id"), "approval_reading")
    op.drop_table("approval_reading")
    with op.batch_alter_table("job_payer") as batch:
        batch.drop_column("betterment_code")
        batch.drop_column("betterment_minor")
    with op.batch_alter_table("agreement") as batch:
        batch.drop_constraint(op.f(_CHECK), type_="check")
        for name in reversed(_FIGURES):
            batch.drop_column(name)
