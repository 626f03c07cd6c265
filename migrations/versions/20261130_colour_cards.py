"""colour cards: a car's colour as mixed, its formula, and the verdict of its spray-out card

Revision ID: 20261130_colour_cards
Revises: 20261130_damage_said
"""

import sqlalchemy as sa
from alembic import op

revision = "20261130_colour_cards"
down_revision = "20261130_damage_said"
branch_labels = None
depends_on = None


def upgrade() -> None:
    if sa.inspect(op.get_bind()).has_table("colour_card"):
        return  # A program of one day took this step before it sealed a book.
    references = (("vehicle_id", "vehicle"), ("job_id", "job"), ("picture_id", "picture"), ("person_id", "person"))
    op.create_table(
        "colour_card",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("vehicle_id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("colour_code", sa.String(200), nullable=False),
        sa.Column("variant", sa.String(200), nullable=False),
        sa.Column("shade", sa.String(200), nullable=False),
        sa.Column("made_on", sa.Date(), nullable=False),
        sa.Column("formula", sa.Text(), nullable=False),
        sa.Column("verdict", sa.String(32), nullable=False),
        sa.Column("picture_id", sa.Integer(), nullable=True),
        sa.Column("coats", sa.Integer(), nullable=True),
        sa.Column("light", sa.String(200), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.CheckConstraint("verdict IN ('', 'match', 'blend', 'retint')", name=op.f("ck_colour_card_known_verdict")),
        sa.CheckConstraint("coats IS NULL OR coats BETWEEN 1 AND 20", name=op.f("ck_colour_card_coats_in_range")),
        *(
            sa.ForeignKeyConstraint([column], [f"{table}.id"], name=op.f(f"fk_colour_card_{column}_{table}"))
            for column, table in references
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_colour_card")),
    )
    for column in ("vehicle_id", "job_id", "colour_code"):
        op.create_index(op.f(f"ix_colour_card_{column}"), "colour_card", [column])


def downgrade() -> None:
    for column in ("colour_code", "job_id", "vehicle_id"):
        op.drop_index(op.f(f"ix_colour_card_{column}"), "colour_card")
    op.drop_table("colour_card")
