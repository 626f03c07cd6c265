"""a book keeps the list that it was started with: figures of ours that changed stay as they were

Panels without paint cost 0.8 h less in the list as it is shipped now. A book that was begun before goes on with the old
figures from its first day, for each panel, until the shop takes the new ones; what it set itself wins from its own day.

Revision ID: 20261130_list_figures
Revises: 20261130_paint_materials
"""

import json
from datetime import date

import sqlalchemy as sa
from alembic import op

revision = "20261130_list_figures"
down_revision = "20261130_paint_materials"
branch_labels = None
depends_on = None

_FIRST = date(2000, 1, 1)
_SHARED = {
    "sure": 55,
    "source": "follows from the hours of the stages, so it is as sure as they are; not looked for in print",
    "days": [1, 3, 3],
    "set_minor": {},
}
_FIGURES = {
    "bonnet": {"small": [22, 103, 164], "medium": [32, 108, 169], "large": [132, 132, 193]},
    "boot_lid": {"small": [22, 95, 165], "medium": [32, 100, 170], "large": [124, 124, 194]},
    "left_front_door": {"small": [22, 98, 164], "medium": [32, 103, 169], "large": [127, 127, 193]},
    "left_front_wing": {"small": [22, 93, 131], "medium": [32, 98, 136], "large": [122, 122, 161]},
    "left_quarter": {"small": [22, 98, 135], "medium": [32, 103, 140], "large": [128, 128, 165]},
    "left_rear_door": {"small": [22, 97, 167], "medium": [32, 102, 172], "large": [126, 126, 197]},
    "left_sill": {"small": [92, 92, 92], "medium": [97, 97, 97], "large": [123, 123, 123]},
    "other": {"small": [22, 90, 90], "medium": [32, 95, 95], "large": [119, 119, 119]},
    "right_front_door": {"small": [22, 98, 164], "medium": [32, 103, 169], "large": [127, 127, 193]},
    "right_front_wing": {"small": [22, 93, 131], "medium": [32, 98, 136], "large": [122, 122, 161]},
    "right_quarter": {"small": [22, 98, 135], "medium": [32, 103, 140], "large": [128, 128, 165]},
    "right_rear_door": {"small": [22, 97, 167], "medium": [32, 102, 172], "large": [126, 126, 197]},
    "right_sill": {"small": [92, 92, 92], "medium": [97, 97, 97], "large": [123, 123, 123]},
    "roof": {"small": [36, 128, 128], "medium": [42, 134, 134], "large": [159, 159, 159]},
    "tailgate": {"small": [22, 100, 169], "medium": [32, 105, 174], "large": [129, 129, 199]},
}
_TABLE = sa.table(
    "catalogue_entry",
    sa.column("kind", sa.String),
    sa.column("code", sa.String),
    sa.column("body", sa.Text),
    sa.column("from_on", sa.Date),
    sa.column("at", sa.DateTime(timezone=True)),
)


def upgrade() -> None:
    connection = op.get_bind()
    at = connection.scalar(
        sa.select(sa.table("book", sa.column("started_at", sa.DateTime(timezone=True))).c.started_at)
    )
    if at is None:
        return
    if connection.dialect.name == "postgresql":
        # Rows that were moved in with their ids leave the sequence behind.
        ids = "pg_get_serial_sequence('catalogue_entry', 'id')"
        connection.execute(sa.text(f"SELECT setval({ids}, coalesce(max(id), 1)) FROM catalogue_entry"))
    for code, figures in _FIGURES.items():
        body = json.dumps(_SHARED | figures)
        connection.execute(sa.insert(_TABLE).values(kind="price", code=code, body=body, from_on=_FIRST, at=at))


def downgrade() -> None:
    connection = op.get_bind()
    on = "" if connection.dialect.name == "sqlite" else " ON catalogue_entry"
    # The guard is made anew after the migration.
    connection.execute(sa.text(f"DROP TRIGGER IF EXISTS guard_catalogue_entry_delete{on}"))
    old = [json.dumps(_SHARED | figures) for figures in _FIGURES.values()]
    mine = (_TABLE.c.kind == "price", _TABLE.c.from_on == _FIRST, _TABLE.c.body.in_(old))
    connection.execute(sa.delete(_TABLE).where(*mine))
