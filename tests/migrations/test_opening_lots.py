"""The opening stock of an old book becomes a lot of its own; no figure of the stock changes."""

from pathlib import Path

from sqlalchemy import Connection, text

from shopbook.models.schema import downgrade_schema, upgrade_schema
from shopbook.models.session import WRITES, make_engine
from tests.migrations.old_books import old_book

BEFORE, OWN = "20261130_colour_cards", "20261130_opening_lots"
_FIGURES = text("SELECT id, on_hand_thousandths, value_minor, basis_value_minor FROM material ORDER BY id")
_OPENING = text("SELECT began_thousandths, received_on FROM lot WHERE delivery_line_id IS NULL AND material_id = :key")


def _move(connection: Connection, key: int, kind: str, quantity: int, lot_id: int | None) -> None:
    connection.execute(
        text(
            'INSERT INTO movement (material_id, kind, at, "on", quantity_thousandths, value_minor, lot_id, is_assumed,'
            " is_flagged, reason) VALUES (:key, :kind, '2026-03-02 12:00:00', '2026-03-02', :quantity, 0, :lot_id,"
            " false, false, '')"
        ),
        {"key": key, "kind": kind, "quantity": quantity, "lot_id": lot_id},
    )


def test_what_no_lot_holds_becomes_the_opening_lot(tmp_path: Path) -> None:
    """Opened with 2,500, 1,000 used from no lot, 1,000 delivered as a lot: an opening lot of 1,500."""
    url = old_book(tmp_path)
    upgrade_schema(url, BEFORE)
    engine = make_engine(url)
    with engine.connect().execution_options(**{WRITES: True}) as connection, connection.begin():
        key = connection.scalar(text("SELECT MIN(id) FROM material WHERE id NOT IN (SELECT material_id FROM movement)"))
        assert key is not None
        connection.execute(
            text("UPDATE material SET opened_life_days = 75, on_hand_thousandths = 2500 WHERE id = :key"), {"key": key}
        )
        connection.execute(
            text(
                "INSERT INTO lot (material_id, delivery_line_id, mark, received_on)"
                " SELECT :key, MIN(id), 'B', '2026-03-03' FROM delivery_line"
            ),
            {"key": key},
        )
        lot_id = connection.scalar(text("SELECT MAX(id) FROM lot"))
        for kind, quantity, lot in (("opened", 2500, None), ("issued", -1000, None), ("received", 1000, lot_id)):
            _move(connection, key, kind, quantity, lot)
        before = connection.execute(_FIGURES).all()
    upgrade_schema(url, OWN)
    with engine.connect() as connection:
        assert [row.began_thousandths for row in connection.execute(_OPENING, {"key": key})] == [1500]
        assert connection.execute(_FIGURES).all() == before
    downgrade_schema(url, BEFORE)
    with engine.connect() as connection:
        assert connection.scalar(text("SELECT COUNT(*) FROM lot WHERE delivery_line_id IS NULL")) == 0
        assert connection.execute(_FIGURES).all() == before
    engine.dispose()
