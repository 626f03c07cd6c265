"""an act keeps the rows that it changed while it can be undone, and a mix can be taken back

Revision ID: 20261130_way_back
Revises: 20261130_payer_declined
"""

import sqlalchemy as sa
from alembic import op

revision = "20261130_way_back"
down_revision = "20261130_payer_declined"
branch_labels = None
depends_on = None


def upgrade() -> None:
    with op.batch_alter_table("act_key") as batch:
        batch.add_column(sa.Column("undoes", sa.String(length=200), nullable=True))
        batch.create_unique_constraint(op.f("uq_act_key_undoes"), ["undoes"])
    op.create_table(
        "act_row",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("act_key", sa.String(length=200), nullable=False),
        sa.Column("place", sa.String(length=200), nullable=False),
        sa.Column("row_key", sa.String(length=200), nullable=False),
        sa.Column("before", sa.Text(), nullable=False),
        sa.Column("after", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["act_key"], ["act_key.key"], name=op.f("fk_act_row_act_key_act_key")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_act_row")),
    )
    op.create_index(op.f("ix_act_row_act_key"), "act_row", ["act_key"])
    op.create_table(
        "mix_taken_back",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("mix_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("on", sa.Date(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["mix_id"], ["mix.id"], name=op.f("fk_mix_taken_back_mix_id_mix")),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_mix_taken_back_person_id_person")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_mix_taken_back")),
        sa.UniqueConstraint("mix_id", name=op.f("uq_mix_taken_back_mix_id")),
    )


def downgrade() -> None:
    op.drop_table("mix_taken_back")
    op.drop_index(op.f("ix_act_row_act_key"), "act_row")
    op.drop_table("act_row")
    with op.batch_alter_table("act_key") as batch:
        batch.drop_constraint(op.f("uq_act_key_undoes"), type_="unique")
        batch.drop_column("undoes")
