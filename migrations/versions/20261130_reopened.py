"""a closed month is reopened and closed again: versions, whole numbers, the paper's hash, a filed return

Revision ID: 20261130_reopened
Revises: 20261130_merged
"""

import sqlalchemy as sa
from alembic import op

revision = "20261130_reopened"
down_revision = "20261130_merged"
branch_labels = None
depends_on = None


def upgrade() -> None:
    with op.batch_alter_table("month_close") as batch:
        batch.add_column(sa.Column("version", sa.Integer(), nullable=False, server_default="1"))
        batch.add_column(sa.Column("numbers", sa.Text(), nullable=False, server_default=""))
        batch.add_column(sa.Column("sha256", sa.String(200), nullable=False, server_default=""))
        batch.drop_constraint(op.f("uq_month_close_month"), type_="unique")
        batch.create_unique_constraint(op.f("uq_month_close_month_version"), ["month", "version"])
    op.create_table(
        "month_reopening",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("close_id", sa.Integer(), nullable=False),
        sa.Column("reason", sa.String(200), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("on", sa.Date(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.CheckConstraint("reason <> ''", name=op.f("ck_month_reopening_has_reason")),
        sa.ForeignKeyConstraint(["close_id"], ["month_close.id"], name=op.f("fk_month_reopening_close_id_month_close")),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_month_reopening_person_id_person")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_month_reopening")),
        sa.UniqueConstraint("close_id", name=op.f("uq_month_reopening_close_id")),
    )
    op.create_table(
        "tax_return",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("month", sa.String(32), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("on", sa.Date(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_tax_return_person_id_person")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_tax_return")),
        sa.UniqueConstraint("month", name=op.f("uq_tax_return_month")),
    )


def downgrade() -> None:
    """A month keeps its newest closing: the older table holds one a month."""
    op.drop_table("tax_return")
    op.drop_table("month_reopening")
    on = "" if op.get_bind().dialect.name == "sqlite" else " ON month_close"
    op.execute(f"DROP TRIGGER IF EXISTS guard_month_close_delete{on}")
    op.execute(
        "DELETE FROM month_close WHERE EXISTS (SELECT 1 FROM month_close AS later "
        "WHERE later.month = month_close.month AND later.version > month_close.version)"
    )
    with op.batch_alter_table("month_close") as batch:
        batch.drop_constraint(op.f("uq_month_close_month_version"), type_="unique")
        batch.create_unique_constraint(op.f("uq_month_close_month"), ["month"])
        batch.drop_column("sha256")
        batch.drop_column("numbers")
        batch.drop_column("version")
