"""names of people are one in any case of letters, and two that were alike are told apart

The later one becomes "Sam 2", and is told so at the next sign-in. Wrong tries are counted apart from now on: those
that were kept are forgotten.

Revision ID: 20261130_door
Revises: 20261130_approved_work
"""

import unicodedata

import sqlalchemy as sa
from alembic import op

revision = "20261130_door"
down_revision = "20261130_approved_work"
branch_labels = None
depends_on = None

_LONGEST = 200


def upgrade() -> None:
    for name in ("folded_name", "name_before"):
        op.add_column("person", sa.Column(name, sa.String(length=200), nullable=True))
    connection = op.get_bind()
    _tell_apart(connection)
    with op.batch_alter_table("person") as batch:
        batch.alter_column("folded_name", existing_type=sa.String(length=200), nullable=False)
        batch.create_unique_constraint(op.f("uq_person_folded_name"), ["folded_name"])
    connection.execute(sa.text("DELETE FROM pin_trial"))


def downgrade() -> None:
    # A name stays as the upgrade gave it: the person may have signed in with it since.
    with op.batch_alter_table("person") as batch:
        batch.drop_constraint(op.f("uq_person_folded_name"), type_="unique")
        batch.drop_column("name_before")
        batch.drop_column("folded_name")
    op.get_bind().execute(sa.text("DELETE FROM pin_trial"))


def _tell_apart(connection: sa.Connection) -> None:
    people = connection.execute(sa.text("SELECT id, name FROM person ORDER BY id")).all()
    every = {_fold(name) for _, name in people}
    taken: set[str] = set()
    for person_id, name in people:
        given = name if _fold(name) not in taken else _free(name, every)
        every.add(_fold(given))
        taken.add(_fold(given))
        connection.execute(
            sa.text("UPDATE person SET name = :given, folded_name = :folded, name_before = :before WHERE id = :id"),
            {"given": given, "folded": _fold(given), "before": name if given != name else None, "id": person_id},
        )


def _free(name: str, every: set[str]) -> str:
    """The name with the first number from 2 on that nobody's name ends with."""
    number = 2
    while _fold(given := f"{name[: _LONGEST - 8]} {number}") in every:
        number += 1
    return given


def _fold(name: str) -> str:
    folded = unicodedata.normalize("NFKC", unicodedata.normalize("NFKC", name).casefold())
    return " ".join(folded.split())[:_LONGEST]
