"""paint and materials have one rule by payer and a mark-up of their own

A book that was begun before keeps what it did: the mark-up on parts is written as the materials' own from the day that
each one holds from; the figure for an hour stays, also as the refinish hour's. The rule was the shelf's cost wherever
every material had a price, else all paint hours: it becomes the shelf where everything that was ever planned has one,
else the paint hour, for every payer.

Revision ID: 20261130_paint_materials
Revises: 20261130_tax_sources
"""

from datetime import date

import sqlalchemy as sa
from alembic import op

revision = "20261130_paint_materials"
down_revision = "20261130_tax_sources"
branch_labels = None
depends_on = None

FIRST_DAY = date(2000, 1, 1)

COPIED = {
    "materials_markup_permille": ("parts_markup_permille", "250"),
    "materials_refinish_hour_minor": ("materials_per_paint_hour_minor", "4200"),
}
"""Each new setting, the old one whose lines it takes over, and what held where nobody had set that one."""

RULES = ("materials_rule", "materials_rule_insurer")
FOLLOWING = ("materials_rule_dealer", "materials_rule_fleet")
ADDED = (*COPIED, *RULES, *FOLLOWING, "materials_paint_labour_permille")

UNPRICED = """
    SELECT count(*) FROM stage_use WHERE amount_thousandths > 0 AND NOT EXISTS (
        SELECT 1 FROM material WHERE material.role = stage_use.role AND material.is_active AND (
            (material.on_hand_thousandths > 0 AND material.value_minor > 0)
            OR (material.basis_quantity_thousandths > 0 AND material.basis_value_minor > 0)
            OR material.pack_price_minor > 0
        )
    )
"""


def upgrade() -> None:
    connection = op.get_bind()
    if not connection.scalar(sa.text("SELECT count(*) FROM book")):
        return
    if connection.dialect.name == "postgresql":
        # Rows that were moved in with their ids leave the sequence behind.
        connection.execute(
            sa.text("SELECT setval(pg_get_serial_sequence('setting', 'id'), coalesce(max(id), 1)) FROM setting")
        )
    for name, (old, otherwise) in COPIED.items():
        _copy(connection, name, old)
        _write(connection, name, otherwise, unless=old)
    for name in RULES:
        _write(connection, name, _rule(connection))
    for name in FOLLOWING:
        _write(connection, name, '""')
    _write(connection, "materials_paint_labour_permille", "350")


def downgrade() -> None:
    connection = op.get_bind()
    on = "" if connection.dialect.name == "sqlite" else ' ON "setting"'
    connection.execute(sa.text(f"DROP TRIGGER IF EXISTS guard_setting_delete{on}"))
    gone = sa.text("DELETE FROM setting WHERE name IN :names").bindparams(sa.bindparam("names", expanding=True))
    connection.execute(gone, {"names": list(ADDED)})


def _rule(connection: sa.Connection) -> str:
    uses = connection.scalar(sa.text("SELECT count(*) FROM stage_use"))
    return '"shelf"' if uses and not connection.scalar(sa.text(UNPRICED)) else '"paint_hour"'


def _copy(connection: sa.Connection, name: str, old: str) -> None:
    """Every line of a setting once more under another name, in their order."""
    connection.execute(
        sa.text(
            "INSERT INTO setting (name, value, from_on, at, person_id) "
            "SELECT :name, value, from_on, at, person_id FROM setting WHERE name = :old ORDER BY from_on, id"
        ),
        {"name": name, "old": old},
    )


def _write(connection: sa.Connection, name: str, value: str, unless: str = "") -> None:
    """One line from the book's first day, at the moment it was begun; not where a line of `unless` is there."""
    connection.execute(
        sa.text(
            "INSERT INTO setting (name, value, from_on, at, person_id) "
            "SELECT :name, :value, coalesce((SELECT min(from_on) FROM setting), :first_day), started_at, NULL "
            "FROM book WHERE NOT EXISTS (SELECT 1 FROM setting WHERE name = :unless)"
        ).bindparams(sa.bindparam("first_day", FIRST_DAY, type_=sa.Date())),
        {"name": name, "value": value, "unless": unless},
    )
