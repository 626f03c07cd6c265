"""a job keeps when its customer had the quote

Until now a quote counted as asked about from the moment it was given; those books keep that moment.

Revision ID: 20261130_quoted_at
Revises: 20261130_line_keys
"""

import sqlalchemy as sa
from alembic import op

revision = "20261130_quoted_at"
down_revision = "20261130_line_keys"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("job", sa.Column("quoted_at", sa.DateTime(timezone=True), nullable=True))
    op.execute(
        "UPDATE job SET quoted_at = (SELECT max(quote.asked_owner_at) FROM quote WHERE quote.job_id = job.id "
        "AND quote.kind <> 'extra' AND quote.given_at IS NOT NULL AND quote.replaced_at IS NULL)"
    )


def downgrade() -> None:
    op.drop_column("job", "quoted_at")
