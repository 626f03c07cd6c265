"""who brings a car is the customer: the party of an approval, and who was asked for one

Revision ID: 20261130_customer
Revises: 20261130_printed_name
"""

import sqlalchemy as sa
from alembic import op

revision = "20261130_customer"
down_revision = "20261130_printed_name"
branch_labels = None
depends_on = None

_CHECK = "ck_agreement_known_party"


def _guarded(verb: str, statement: str) -> None:
    """One change of the ledger: its guard against updates is away for this statement alone."""
    on = "" if op.get_bind().dialect.name == "sqlite" else " ON agreement"
    op.execute(f"DROP TRIGGER IF EXISTS guard_agreement_{verb}{on}")
    op.execute(statement)


def _rename(old: str, new: str) -> None:
    with op.batch_alter_table("agreement") as batch:
        batch.drop_constraint(op.f(_CHECK), type_="check")
    _guarded("update", f"UPDATE agreement SET party = '{new}' WHERE party = '{old}'")
    with op.batch_alter_table("agreement") as batch:
        batch.create_check_constraint(op.f(_CHECK), f"party IN ('{new}', 'payer')")
    with op.batch_alter_table("quote") as batch:
        batch.alter_column(
            f"asked_{old}_at", new_column_name=f"asked_{new}_at", existing_type=sa.DateTime(timezone=True)
        )


def upgrade() -> None:
    _rename("owner", "customer")


def downgrade() -> None:
    _rename("customer", "owner")
