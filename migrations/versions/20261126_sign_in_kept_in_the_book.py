"""sign-ins are kept in the book

Whoever was signed in with a password signs in once more.

Revision ID: 20261126_sign_in
Revises: 20261125_book
"""

import sqlalchemy as sa
from alembic import op

revision = "20261126_sign_in"
down_revision = "20261125_book"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "sign_in",
        sa.Column("token_hash", sa.String(length=200), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("since_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_sign_in_person_id_person")),
        sa.PrimaryKeyConstraint("token_hash", name=op.f("pk_sign_in")),
    )
    op.create_index(op.f("ix_sign_in_person_id"), "sign_in", ["person_id"])
    op.drop_column("person", "sign_in_stamp")


def downgrade() -> None:
    op.add_column("person", sa.Column("sign_in_stamp", sa.String(length=200), nullable=False, server_default=""))
    op.drop_index(op.f("ix_sign_in_person_id"), "sign_in")
    op.drop_table("sign_in")
