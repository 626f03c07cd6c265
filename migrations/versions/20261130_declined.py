"""what takes a stage out of the plan is said in the words of today: declined by the customer

Revision ID: 20261130_declined
Revises: 20261130_customer
"""

from alembic import op

revision = "20261130_declined"
down_revision = "20261130_customer"
branch_labels = None
depends_on = None

_BEFORE, _NOW = "left by the owner", "declined by the customer"


def upgrade() -> None:
    op.execute(f"UPDATE stage SET struck_why = '{_NOW}' WHERE struck_why = '{_BEFORE}'")


def downgrade() -> None:
    op.execute(f"UPDATE stage SET struck_why = '{_BEFORE}' WHERE struck_why = '{_NOW}'")
