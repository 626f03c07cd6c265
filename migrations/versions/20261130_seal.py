"""the seal: every ledger has an id and lines that are never changed, and each write leaves a link over its rows

Revision ID: 20261130_seal
Revises: 20261130_papers
"""

from datetime import UTC
from zoneinfo import ZoneInfo

import sqlalchemy as sa
from alembic import op

revision = "20261130_seal"
down_revision = "20261130_papers"
branch_labels = None
depends_on = None

_LEDGERS_NOW = ("approval_group", "count_line", "delivery", "delivery_line", "person_cost", "picture", "stock_count")


def upgrade() -> None:
    op.create_table(
        "seal",
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("previous", sa.String(200), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("form", sa.Integer(), nullable=False),
        sa.Column("note", sa.String(200), nullable=False, server_default=""),
        sa.Column("entries", sa.Text(), nullable=False),
        sa.Column("rows_sha256", sa.String(200), nullable=False),
        sa.Column("sha256", sa.String(200), nullable=False),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_seal")),
        sa.UniqueConstraint("previous", name=op.f("uq_seal_previous")),
    )
    with op.batch_alter_table("month_close") as batch:
        batch.add_column(sa.Column("seal_number", sa.Integer(), nullable=True))
        batch.add_column(sa.Column("seal_sha256", sa.String(200), nullable=True))
    with op.batch_alter_table("person_cost") as batch:
        batch.drop_constraint(op.f("uq_person_cost_person_id_from_on"), type_="unique")
    op.create_index("ix_person_cost_person_id_from_on", "person_cost", ["person_id", "from_on"])
    _make_groups_anew(with_id=True)
    _dated_lines(
        "delivery_price",
        "delivery_line",
        sa.Column("cost_minor", sa.BigInteger(), nullable=False),
        sa.CheckConstraint("cost_minor >= 0", name=op.f("ck_delivery_price_cost_not_negative")),
    )
    _dated_lines("picture_strike", "picture", sa.Column("is_struck", sa.Boolean(), nullable=False))
    _write_strikes()
    with op.batch_alter_table("picture") as batch:
        batch.drop_column("struck_at")


def _dated_lines(table: str, whose: str, *said: sa.schema.SchemaItem) -> None:
    """A table of lines that each say one thing of a row of another table."""
    op.create_table(
        table,
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column(f"{whose}_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("on", sa.Date(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=True),
        *said,
        sa.ForeignKeyConstraint([f"{whose}_id"], [f"{whose}.id"], name=op.f(f"fk_{table}_{whose}_id_{whose}")),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f(f"fk_{table}_person_id_person")),
        sa.PrimaryKeyConstraint("id", name=op.f(f"pk_{table}")),
    )
    op.create_index(op.f(f"ix_{table}_{whose}_id"), table, [f"{whose}_id"])


def _make_groups_anew(*, with_id: bool) -> None:
    """The rows wait in a table without constraints, whose names would be taken; keys follow approval and group."""
    names = "approval_id, group_id, is_taken"
    op.execute(f"CREATE TABLE approval_group_waits AS SELECT {names} FROM approval_group")
    op.drop_table("approval_group")
    keys = [sa.Column("approval_id", sa.Integer(), nullable=False), sa.Column("group_id", sa.Integer(), nullable=False)]
    if with_id:
        own = [
            sa.Column("id", sa.Integer(), nullable=False),
            sa.PrimaryKeyConstraint("id", name=op.f("pk_approval_group")),
            sa.UniqueConstraint("approval_id", "group_id", name=op.f("uq_approval_group_approval_id_group_id")),
        ]
    else:
        own = [sa.PrimaryKeyConstraint("approval_id", "group_id", name=op.f("pk_approval_group"))]
    op.create_table(
        "approval_group",
        *keys,
        sa.Column("is_taken", sa.Boolean(), nullable=False),
        *own,
        sa.ForeignKeyConstraint(["approval_id"], ["approval.id"], name=op.f("fk_approval_group_approval_id_approval")),
        sa.ForeignKeyConstraint(["group_id"], ["quote_group.id"], name=op.f("fk_approval_group_group_id_quote_group")),
    )
    op.create_index(op.f("ix_approval_group_group_id"), "approval_group", ["group_id"])
    op.execute(
        f"INSERT INTO approval_group ({names}) SELECT {names} FROM approval_group_waits ORDER BY approval_id, group_id"
    )
    op.drop_table("approval_group_waits")


def _write_strikes() -> None:
    """One line for each removed picture, at its moment, by whoever the log names."""
    bind = op.get_bind()
    picture = sa.table("picture", sa.column("id"), sa.column("struck_at", sa.DateTime(timezone=True)))
    log = sa.table("log_line", *(sa.column(name) for name in ("id", "act", "subject_id", "person_id")))
    zone = ZoneInfo(bind.execute(sa.text("SELECT zone FROM book")).scalar() or "UTC")
    asked = sa.select(log.c.subject_id, log.c.person_id).where(log.c.act == "strike_picture").order_by(log.c.id)
    by = {picture_id: person_id for picture_id, person_id in bind.execute(asked)}
    struck = sa.select(picture.c.id, picture.c.struck_at).where(picture.c.struck_at.is_not(None)).order_by(picture.c.id)
    rows = [
        {
            "picture_id": key,
            "is_struck": True,
            "at": at.replace(tzinfo=at.tzinfo or UTC),
            "on": at.replace(tzinfo=at.tzinfo or UTC).astimezone(zone).date(),
            "person_id": by.get(key),
        }
        for key, at in bind.execute(struck).all()
    ]
    strike = sa.table(
        "picture_strike",
        sa.column("picture_id"),
        sa.column("is_struck", sa.Boolean()),
        sa.column("at", sa.DateTime(timezone=True)),
        sa.column("on", sa.Date()),
        sa.column("person_id"),
    )
    if rows:
        bind.execute(sa.insert(strike), rows)


def downgrade() -> None:
    """A picture and a delivered price stand as their newest line says, a cost per hour as the newest of its day."""
    _drop_guards()
    with op.batch_alter_table("picture") as batch:
        batch.add_column(sa.Column("struck_at", sa.DateTime(timezone=True), nullable=True))
    op.execute(
        "UPDATE picture SET struck_at = (SELECT CASE WHEN line.is_struck THEN line.at END FROM picture_strike AS line "
        "WHERE line.picture_id = picture.id ORDER BY line.id DESC LIMIT 1)"
    )
    op.drop_table("picture_strike")
    op.execute(
        "UPDATE delivery_line SET cost_minor = coalesce((SELECT line.cost_minor FROM delivery_price AS line "
        "WHERE line.delivery_line_id = delivery_line.id ORDER BY line.id DESC LIMIT 1), cost_minor)"
    )
    op.drop_table("delivery_price")
    _make_groups_anew(with_id=False)
    op.execute(
        "DELETE FROM person_cost WHERE EXISTS (SELECT 1 FROM person_cost AS later WHERE later.id > person_cost.id "
        "AND later.person_id = person_cost.person_id AND later.from_on = person_cost.from_on)"
    )
    op.drop_index("ix_person_cost_person_id_from_on", "person_cost")
    with op.batch_alter_table("person_cost") as batch:
        batch.create_unique_constraint(op.f("uq_person_cost_person_id_from_on"), ["person_id", "from_on"])
    with op.batch_alter_table("month_close") as batch:
        batch.drop_column("seal_sha256")
        batch.drop_column("seal_number")
    op.drop_table("seal")


def _drop_guards() -> None:
    """What the program of before changed in place may be changed again."""
    for table in _LEDGERS_NOW:
        on = "" if op.get_bind().dialect.name == "sqlite" else f" ON {table}"
        for verb in ("update", "delete"):
            op.execute(f"DROP TRIGGER IF EXISTS guard_{table}_{verb}{on}")
