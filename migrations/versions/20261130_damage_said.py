"""what is asked of a damage where its kind or panel needs it: how deep a scratch goes, chips counted, where clear stops

Revision ID: 20261130_damage_said
Revises: 20261130_coats
"""

import sqlalchemy as sa
from alembic import op

revision = "20261130_damage_said"
down_revision = "20261130_coats"
branch_labels = None
depends_on = None

_WORDS = {"reach": 32, "plastic": 32, "clear_stop": 32, "blend_into": 200}
_TICKS = ("was_filled", "is_epoxy_first")


def upgrade() -> None:
    if "reach" in {column["name"] for column in sa.inspect(op.get_bind()).get_columns("damage")}:
        return  # A program of one day took this step before it sealed a book.
    with op.batch_alter_table("damage") as batch:
        for name, length in _WORDS.items():
            batch.add_column(sa.Column(name, sa.String(length), nullable=False, server_default=""))
        for name in _TICKS:
            batch.add_column(sa.Column(name, sa.Boolean(), nullable=False, server_default=sa.false()))
        batch.add_column(sa.Column("chip_count", sa.Integer(), nullable=False, server_default="0"))
        batch.create_check_constraint(op.f("ck_damage_chips_not_negative"), "chip_count >= 0")


def downgrade() -> None:
    """Paint that died back becomes an earlier bad repair: the version before has no word for it."""
    op.execute("UPDATE damage SET kind = 'bad_repair' WHERE kind = 'dieback'")
    with op.batch_alter_table("damage") as batch:
        batch.drop_constraint(op.f("ck_damage_chips_not_negative"), type_="check")
        for name in ("chip_count", *reversed(_TICKS), *reversed(_WORDS)):
            batch.drop_column(name)
