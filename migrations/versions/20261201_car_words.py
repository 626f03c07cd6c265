"""a car is found by the words it is called by

Revision ID: 20261201_car_words
Revises: 20261130_dry_seen
"""

import unicodedata
from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "20261201_car_words"
down_revision = "20261130_dry_seen"
branch_labels = None
depends_on = None

_LONGEST = 200
_MANY = 5000
# Letters that Unicode does not take apart, though a keyboard without them writes the plain one.
_PLAIN = str.maketrans({"ø": "o", "ł": "l", "đ": "d", "ð": "d", "æ": "ae", "œ": "oe", "ı": "i", "þ": "th"})


def upgrade() -> None:
    bind = op.get_bind()
    if bind.execute(sa.text("SELECT id FROM search_key WHERE kind = 'car' LIMIT 1")).first() is not None:
        return  # A book that says it stands further back than it does.
    asked = "SELECT id, customer_id, description, colour_name FROM vehicle ORDER BY id"
    rows: list[dict[str, Any]] = []
    for vehicle_id, customer_id, *said in bind.execute(sa.text(asked)).all():
        owner = {"vehicle_id": vehicle_id, "customer_id": customer_id}
        rows += [{"key": word[:_LONGEST], **owner} for word in _words(" ".join(said))]
    if bind.dialect.name == "postgresql":
        # Rows that were copied in with their ids leave the counter behind them.
        counter = "pg_get_serial_sequence('search_key', 'id')"
        op.execute(f"SELECT setval({counter}, coalesce(max(id), 1), max(id) IS NOT NULL) FROM search_key")
    insert = sa.text(
        "INSERT INTO search_key (key, kind, vehicle_id, customer_id) VALUES (:key, 'car', :vehicle_id, :customer_id)"
    )
    for place in range(0, len(rows), _MANY):
        bind.execute(insert, rows[place : place + _MANY])


def downgrade() -> None:
    op.execute("DELETE FROM search_key WHERE kind = 'car'")


def _words(text: str) -> list[str]:
    """As `trade/search_keys.py: car_keys` made them on the day of this migration."""
    apart = "".join(mark if mark.isalnum() or unicodedata.category(mark)[0] == "M" else " " for mark in _fold(text))
    return sorted({word for word in apart.split() if any(map(str.isalnum, word))})


def _fold(text: str) -> str:
    lower = unicodedata.normalize("NFKD", text).casefold()
    spread = unicodedata.normalize("NFKD", lower).translate(_PLAIN)
    return unicodedata.normalize("NFC", "".join(mark for mark in spread if not _is_left_out(mark)))


def _is_left_out(mark: str) -> bool:
    placed = unicodedata.combining(mark)
    return placed >= 200 or 10 <= placed <= 36
