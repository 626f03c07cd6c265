"""opening stock is a lot of its own: what the first count found and no lot holds becomes the oldest lot of its material

Revision ID: 20261130_opening_lots
Revises: 20261130_colour_cards

Its quantity stands on the lot, for movements are never changed: of a material that keeps a limited time, what the book
holds and no lot does, at most what was opened with. Values belong to the material and stay as they are.
"""

import sqlalchemy as sa
from alembic import op

revision = "20261130_opening_lots"
down_revision = "20261130_colour_cards"
branch_labels = None
depends_on = None

_OPENED = sa.text(
    """
    SELECT material.id, material.on_hand_thousandths AS held,
           SUM(movement.quantity_thousandths) AS opened, MIN(movement."on") AS began
    FROM material JOIN movement ON movement.material_id = material.id
    WHERE movement.kind = 'opened' AND movement.lot_id IS NULL
      AND (material.shelf_life_days IS NOT NULL OR material.opened_life_days IS NOT NULL)
    GROUP BY material.id, material.on_hand_thousandths ORDER BY material.id
    """
)
_IN_LOTS = sa.text(
    """
    SELECT movement.material_id, lot.id, SUM(movement.quantity_thousandths) AS left_over
    FROM movement JOIN lot ON lot.id = movement.lot_id WHERE lot.gone_on IS NULL
    GROUP BY movement.material_id, lot.id
    """
)
_BEGIN = sa.text(
    """
    INSERT INTO lot (material_id, delivery_line_id, mark, received_on, began_thousandths)
    VALUES (:material_id, NULL, '', :began, :quantity)
    """
)


def upgrade() -> None:
    if "began_thousandths" in {column["name"] for column in sa.inspect(op.get_bind()).get_columns("lot")}:
        return  # A program of one day took this step before it sealed a book.
    with op.batch_alter_table("lot") as batch:
        batch.add_column(sa.Column("began_thousandths", sa.BigInteger(), nullable=False, server_default="0"))
    bind = op.get_bind()
    in_lots: dict[int, int] = {}
    for material_id, _, left in bind.execute(_IN_LOTS):
        in_lots[material_id] = in_lots.get(material_id, 0) + max(int(left), 0)
    for material_id, held, opened, began in bind.execute(_OPENED).all():
        quantity = min(int(opened), int(held) - in_lots.get(material_id, 0))
        if quantity > 0:
            bind.execute(_BEGIN, {"material_id": material_id, "began": began, "quantity": quantity})


def downgrade() -> None:
    """The version before knows no lot without a delivery: movements that name one, and what was left, stay in none."""
    named = "SELECT lot_id FROM movement WHERE lot_id IS NOT NULL"
    op.execute(f"DELETE FROM lot WHERE delivery_line_id IS NULL AND id NOT IN ({named})")
    with op.batch_alter_table("lot") as batch:
        batch.drop_column("began_thousandths")
