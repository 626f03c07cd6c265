"""an invoice names the one it corrects, and a payer's approval of what an invoice asks beyond the quotes

Revision ID: 20261130_corrections
Revises: 20261130_reopened
"""

import sqlalchemy as sa
from alembic import op

revision = "20261130_corrections"
down_revision = "20261130_reopened"
branch_labels = None
depends_on = None

_KEY = "fk_invoice_corrects_id_invoice"


def upgrade() -> None:
    with op.batch_alter_table("invoice") as batch:
        batch.add_column(sa.Column("corrects_id", sa.Integer(), nullable=True))
        batch.create_foreign_key(op.f(_KEY), "invoice", ["corrects_id"], ["id"])
    op.create_index(op.f("ix_invoice_corrects_id"), "invoice", ["corrects_id"])
    op.create_table(
        "invoice_approval",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("invoice_id", sa.Integer(), nullable=False),
        sa.Column("customer_id", sa.Integer(), nullable=True),
        sa.Column("kind", sa.String(32), nullable=False),
        sa.Column("amount_minor", sa.BigInteger(), nullable=False),
        sa.Column("means", sa.String(32), nullable=False),
        sa.Column("said_by", sa.String(200), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("on", sa.Date(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.CheckConstraint("amount_minor > 0", name=op.f("ck_invoice_approval_above_zero")),
        sa.CheckConstraint("kind IN ('price', 'rest')", name=op.f("ck_invoice_approval_known_kind")),
        sa.ForeignKeyConstraint(["invoice_id"], ["invoice.id"], name=op.f("fk_invoice_approval_invoice_id_invoice")),
        sa.ForeignKeyConstraint(
            ["customer_id"], ["customer.id"], name=op.f("fk_invoice_approval_customer_id_customer")
        ),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_invoice_approval_person_id_person")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_invoice_approval")),
    )
    op.create_index(op.f("ix_invoice_approval_invoice_id"), "invoice_approval", ["invoice_id"])


def downgrade() -> None:
    op.drop_index(op.f("ix_invoice_approval_invoice_id"), "invoice_approval")
    op.drop_table("invoice_approval")
    op.drop_index(op.f("ix_invoice_corrects_id"), "invoice")
    with op.batch_alter_table("invoice") as batch:
        batch.drop_constraint(op.f(_KEY), type_="foreignkey")
        batch.drop_column("corrects_id")
