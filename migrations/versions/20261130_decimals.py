"""a book keeps the decimals of its money

Every amount is stored in units of the last decimal. Until now a table in the program said how many there are, so that
a later list of currencies could have moved what is stored; a book now keeps what that table said of its currency.

Revision ID: 20261130_decimals
Revises: 20261130_whose_sum
"""

import sqlalchemy as sa
from alembic import op

revision = "20261130_decimals"
down_revision = "20261130_whose_sum"
branch_labels = None
depends_on = None

_WITHOUT = ("CLP", "COP", "HUF", "IDR", "ISK", "JPY", "KRW", "PYG", "UGX", "VND", "XAF", "XOF", "XPF")
_WITH_THREE = ("BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND")
"""Decimals as the program had them before; every other currency was written with two."""


def upgrade() -> None:
    op.add_column("book", sa.Column("currency_places", sa.Integer(), server_default="2", nullable=False))
    book = sa.table("book", sa.column("currency", sa.String), sa.column("currency_places", sa.Integer))
    for places, codes in ((0, _WITHOUT), (3, _WITH_THREE)):
        op.execute(book.update().where(book.c.currency.in_(codes)).values(currency_places=places))


def downgrade() -> None:
    op.drop_column("book", "currency_places")
