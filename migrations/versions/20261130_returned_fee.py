"""the fee for a returned cheque is a paper of its own kind

Revision ID: 20261130_returned_fee
Revises: 20261130_corrections
"""

from alembic import op

revision = "20261130_returned_fee"
down_revision = "20261130_corrections"
branch_labels = None
depends_on = None

_KINDS = "kind IN ('invoice', 'deposit', 'credit'{})"


def _allow(more: str) -> None:
    with op.batch_alter_table("invoice") as batch:
        batch.drop_constraint(op.f("ck_invoice_known_kind"), type_="check")
        batch.create_check_constraint(op.f("ck_invoice_known_kind"), _KINDS.format(more))


def upgrade() -> None:
    _allow(", 'fee'")


def downgrade() -> None:
    """A fee becomes an invoice, as it was charged before there was a kind for it."""
    on = "" if op.get_bind().dialect.name == "sqlite" else " ON invoice"
    op.execute(f"DROP TRIGGER IF EXISTS guard_invoice_update{on}")
    op.execute("UPDATE invoice SET kind = 'invoice' WHERE kind = 'fee'")
    _allow("")
