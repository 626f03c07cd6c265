"""an approval is called one, and shop supplies are, in tables, columns and stored words

Revision ID: 20261130_spoken
Revises: 20261130_declined
"""

import json

import sqlalchemy as sa
from alembic import op

revision = "20261130_spoken"
down_revision = "20261130_declined"
branch_labels = None
depends_on = None

_WAYS = "way IN ('measured', 'piece', '{}')"


def _without_guard(table: str, verb: str = "update") -> None:
    """A ledger's guard goes; all of them are made anew after the migration."""
    on = "" if op.get_bind().dialect.name == "sqlite" else f" ON {table}"
    op.execute(f"DROP TRIGGER IF EXISTS guard_{table}_{verb}{on}")


def _make_approvals(word: str) -> None:
    names = ("repair_total_minor", "excess_minor", "pays_minor")
    checks = {
        "known_party": "party IN ('customer', 'payer')",
        "amount_not_negative": "amount_minor IS NULL OR amount_minor >= 0",
        "pays_not_negative": "pays_minor IS NULL OR pays_minor >= 0",
    }
    points = ("customer", "job", "person", "picture", "quote")
    op.create_table(
        word,
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("quote_id", sa.Integer(), nullable=False),
        sa.Column("party", sa.String(32), nullable=False),
        sa.Column("customer_id", sa.Integer(), nullable=True),
        sa.Column("means", sa.String(32), nullable=False),
        sa.Column("said_by", sa.String(200), nullable=False),
        sa.Column("amount_minor", sa.BigInteger(), nullable=True),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("signature", sa.Text(), nullable=False),
        sa.Column("picture_id", sa.Integer(), nullable=True),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("on", sa.Date(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=True),
        *(sa.Column(name, sa.BigInteger(), nullable=True) for name in names),
        *(sa.CheckConstraint(rule, name=op.f(f"ck_{word}_{name}")) for name, rule in checks.items()),
        *(
            sa.ForeignKeyConstraint([f"{one}_id"], [f"{one}.id"], name=op.f(f"fk_{word}_{one}_id_{one}"))
            for one in points
        ),
        sa.PrimaryKeyConstraint("id", name=op.f(f"pk_{word}")),
    )


def _make_groups(word: str) -> None:
    op.create_table(
        f"{word}_group",
        sa.Column(f"{word}_id", sa.Integer(), nullable=False),
        sa.Column("group_id", sa.Integer(), nullable=False),
        sa.Column("is_taken", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint([f"{word}_id"], [f"{word}.id"], name=op.f(f"fk_{word}_group_{word}_id_{word}")),
        sa.ForeignKeyConstraint(["group_id"], ["quote_group.id"], name=op.f(f"fk_{word}_group_group_id_quote_group")),
        sa.PrimaryKeyConstraint(f"{word}_id", "group_id", name=op.f(f"pk_{word}_group")),
    )


def _point_readings(old: str, new: str) -> None:
    """How an older approval is read keeps its table; its key is named after what it points at."""
    op.drop_index(op.f(f"ix_approval_reading_{old}_id"), "approval_reading")
    with op.batch_alter_table("approval_reading") as batch:
        batch.drop_constraint(op.f(f"fk_approval_reading_{old}_id_{old}"), type_="foreignkey")
        batch.alter_column(f"{old}_id", new_column_name=f"{new}_id", existing_type=sa.Integer())
    with op.batch_alter_table("approval_reading") as batch:
        batch.create_foreign_key(op.f(f"fk_approval_reading_{new}_id_{new}"), new, [f"{new}_id"], ["id"])
    op.create_index(op.f(f"ix_approval_reading_{new}_id"), "approval_reading", [f"{new}_id"])


def _copy(old: str, new: str, names: dict[str, str]) -> None:
    """Every row of a table into the one that follows it, by column."""
    op.execute(f"INSERT INTO {new} ({', '.join(names.values())}) SELECT {', '.join(names)} FROM {old} ORDER BY 1")


def _rename_approvals(old: str, new: str) -> None:
    bind = op.get_bind()
    columns = {f'"{one["name"]}"': f'"{one["name"]}"' for one in sa.inspect(bind).get_columns(old)}
    _make_approvals(new)
    _copy(old, new, columns)
    _make_groups(new)
    _copy(f"{old}_group", f"{new}_group", {f"{old}_id": f"{new}_id", "group_id": "group_id", "is_taken": "is_taken"})
    _point_readings(old, new)
    op.drop_table(f"{old}_group")
    op.drop_table(old)
    for name in ("job", "quote"):
        op.create_index(op.f(f"ix_{new}_{name}_id"), new, [f"{name}_id"])
    op.create_index(op.f(f"ix_{new}_group_group_id"), f"{new}_group", ["group_id"])
    if bind.dialect.name == "postgresql":
        counter = f"pg_get_serial_sequence('{new}', 'id')"
        op.execute(f"SELECT setval({counter}, coalesce(max(id), 1), max(id) IS NOT NULL) FROM {new}")


def _rename_supplies(old: str, new: str) -> None:
    """How a material is used: on rows that may change, and in what the shop typed of the catalogue."""
    with op.batch_alter_table("material") as batch:
        batch.drop_constraint(op.f("ck_material_known_way"), type_="check")
    for table in ("material", "stage_use"):
        op.execute(f"UPDATE {table} SET way = '{new}' WHERE way = '{old}'")
    with op.batch_alter_table("material") as batch:
        batch.create_check_constraint(op.f("ck_material_known_way"), _WAYS.format(new))
    _without_guard("catalogue_entry")
    entry = sa.table("catalogue_entry", sa.column("id"), sa.column("kind"), sa.column("body"))
    typed = op.get_bind().execute(sa.select(entry.c.id, entry.c.body).where(entry.c.kind == "material")).all()
    for key, body in typed:
        fields = json.loads(body) if body else None
        if fields and fields.get("way") == old:
            changed = entry.update().where(entry.c.id == key).values(body=json.dumps({**fields, "way": new}))
            op.get_bind().execute(changed)


def _rename_setting(old: str, new: str) -> None:
    _without_guard("setting")
    op.execute(f"UPDATE setting SET name = '{new}' WHERE name = '{old}'")


def upgrade() -> None:
    _rename_approvals("agreement", "approval")
    _rename_supplies("floor", "shop_supplies")
    _rename_setting("strict_agreement", "strict_approval")


def downgrade() -> None:
    _rename_approvals("approval", "agreement")
    _rename_supplies("shop_supplies", "floor")
    _rename_setting("strict_approval", "strict_agreement")
