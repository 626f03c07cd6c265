"""given quotes and receipts are frozen; an extra has its own day and pictures

Old given quotes are reconstructed from their lines and the kinds of tax of their given day, with the hash of their
paper where one is kept; their words are not known. Old receipts are reconstructed from what was set against an invoice
in the same act, under the head of an invoice of the job where there is one.

Revision ID: 20261130_given
Revises: 20261130_paint_materials
"""

import json
from collections import defaultdict

import sqlalchemy as sa
from alembic import op

revision = "20261130_given"
down_revision = "20261130_paint_materials"
branch_labels = None
depends_on = None

_HEAD = (
    "shop",
    "shop_lines",
    "to",
    "to_lines",
    "car",
    "car_lines",
    "car_hex",
    "job",
    "sign",
    "places",
    "paper_size",
    "tax_word",
    "is_tax_invoice",
    "pay_to",
)
_PAPERS = {"invoice": "Invoice", "deposit": "Deposit invoice", "credit": "Credit note"}
_REST = {"security": "Security, given back with the car", "held": "Deposit, held for the invoice"}
_NOTES = {"held": "No tax is due on this deposit until the work is finished.", "security": "No tax is due on it."}
_KINDS = {"exempt": "exempt", "outside": "outside", "none": "outside"}
_BATCH = 500


def upgrade() -> None:
    with op.batch_alter_table("quote") as batch:
        batch.add_column(sa.Column("promise_on", sa.Date(), nullable=True))
    with op.batch_alter_table("picture") as batch:
        batch.add_column(sa.Column("quote_id", sa.Integer(), nullable=True))
        batch.create_foreign_key(op.f("fk_picture_quote_id_quote"), "quote", ["quote_id"], ["id"])
    _make_table("given_quote", "quote", sa.Column("sha256", sa.String(200), nullable=False))
    _make_table("receipt", "payment")
    _reconstruct_quotes(op.get_bind())
    _reconstruct_receipts(op.get_bind())


def _make_table(table: str, of: str, *more: sa.Column) -> None:
    op.create_table(
        table,
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column(f"{of}_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("on", sa.Date(), nullable=False),
        sa.Column("content", sa.Text(), nullable=False),
        *more,
        sa.Column("is_reconstructed", sa.Boolean(), nullable=False, server_default=sa.false()),
        sa.ForeignKeyConstraint([f"{of}_id"], [f"{of}.id"], name=op.f(f"fk_{table}_{of}_id_{of}")),
        sa.PrimaryKeyConstraint("id", name=op.f(f"pk_{table}")),
        sa.UniqueConstraint(f"{of}_id", name=op.f(f"uq_{table}_{of}_id")),
    )


def downgrade() -> None:
    op.drop_table("receipt")
    op.drop_table("given_quote")
    with op.batch_alter_table("picture") as batch:
        batch.drop_constraint(op.f("fk_picture_quote_id_quote"), type_="foreignkey")
        batch.drop_column("quote_id")
    with op.batch_alter_table("quote") as batch:
        batch.drop_column("promise_on")


def _rows(connection: sa.Connection, asked: str) -> list[dict]:
    return [dict(row) for row in connection.execute(sa.text(asked)).mappings()]


def _by(connection: sa.Connection, asked: str, name: str) -> dict[int, list[dict]]:
    found: dict[int, list[dict]] = defaultdict(list)
    for row in _rows(connection, asked):
        found[row[name]].append(row)
    return found


def _keep(connection: sa.Connection, table: str, rows: list[dict]) -> None:
    if not rows:
        return
    names = list(rows[0])
    columns, values = ", ".join(f'"{name}"' for name in names), ", ".join(f":{name}" for name in names)
    asked = sa.text(f"INSERT INTO {table} ({columns}) VALUES ({values})")
    for first in range(0, len(rows), _BATCH):
        connection.execute(asked, rows[first : first + _BATCH])


def _reconstruct_quotes(connection: sa.Connection) -> None:
    lines = _by(connection, "SELECT * FROM quote_line ORDER BY id", "group_id")
    groups = _by(connection, "SELECT * FROM quote_group ORDER BY position, id", "quote_id")
    rates = _rows(connection, "SELECT * FROM tax_rate ORDER BY from_on, id")
    papers = {row["id"]: row["sha256"] for row in _rows(connection, "SELECT id, sha256 FROM paper")}
    made = []
    for quote in _rows(connection, "SELECT * FROM quote WHERE given_at IS NOT NULL ORDER BY id"):
        day = quote["given_on"] or quote["made_on"]
        latest = {row["code"]: row for row in rates if row["from_on"] <= day}
        content = {
            "form": 1,
            "priced": _priced(quote, groups[quote["id"]], lines, [latest[code] for code in sorted(latest)]),
            "discount_why": quote["discount_why"],
            "deposit_minor": quote["deposit_minor"],
            "valid_until_on": str(quote["valid_until_on"] or ""),
            "words": None,
            "sums": None,
        }
        made.append(
            {
                "quote_id": quote["id"],
                "at": quote["given_at"],
                "on": day,
                "content": json.dumps(content, ensure_ascii=False),
                "sha256": papers.get(quote["paper_id"], ""),
                "is_reconstructed": True,
            }
        )
    _keep(connection, "given_quote", made)


def _priced(quote: dict, groups: list[dict], lines: dict[int, list[dict]], rates: list[dict]) -> dict:
    return {
        "groups": [_group(group, lines[group["id"]]) for group in groups],
        "rates": [
            {
                "code": row["code"],
                "name": row["name"],
                "rate_thousandths": row["rate_thousandths"],
                "kind": "taxed" if row["rate_thousandths"] else _KINDS.get(row["code"], "zero"),
                "line_kinds": _kinds(row["line_kinds"]),
                "kinds_with_goods": _kinds(row["kinds_with_goods"]),
                "parts": [],
            }
            for row in rates
        ],
        "includes_tax": bool(quote["has_tax_inside"]),
        "discount_minor": quote["discount_minor"],
        "up_to_minor": quote["up_to_minor"] if quote["is_estimate"] else None,
        "savings": {
            "rate_minor": quote["saving_rate_minor"],
            "touching_permille": quote["saving_touching_permille"],
            "apart_permille": quote["saving_apart_permille"],
        },
        "discount_key": quote["first_key"],
    }


def _kinds(text: str) -> list[str]:
    """The kinds of line in a JSON list; a rate from before they were written names none."""
    return sorted(json.loads(text)) if text.startswith("[") else []


def _group(group: dict, lines: list[dict]) -> dict:
    painted = {
        "panel": group["key"],
        "minutes": group["paint_minutes"],
        "touches": sorted(panel for panel in group["touches"].split(",") if panel),
        "may_save": group["list_minor"] is not None and group["price_minor"] == group["list_minor"],
        "place": group["panel_place"],
    }
    return {
        "key": str(group["id"]),
        "title": group["title"],
        "lines": [
            {
                "kind": line["kind"],
                "words": line["words"],
                "amount_minor": line["amount_minor"],
                "tax_code": line["tax_code"],
                "key": line["line_key"],
                "item": group["first_key"],
                "group_key": group["key"],
                "title": group["title"],
                "skill": line["skill"],
                "minutes": line["minutes"],
                "rate_minor": line["rate_minor"],
                "job_part_id": line["job_part_id"],
            }
            for line in lines
        ],
        "choice": group["choice"],
        "price_minor": group["price_minor"],
        "painted": painted if group["paint_minutes"] else None,
        "first_key": group["first_key"],
        "group_key": group["key"],
    }


def _reconstruct_receipts(connection: sa.Connection) -> None:
    papers = {row["id"]: row for row in _rows(connection, "SELECT id, job_id, kind, number, frozen FROM invoice")}
    heads: dict[int, dict] = {}
    for row in papers.values():
        heads.setdefault(row["job_id"], row)
    names = {
        row["id"]: row["name"] or row["phone"] for row in _rows(connection, "SELECT id, name, phone FROM customer")
    }
    asked = "SELECT payment_id, invoice_id, amount_minor, at FROM allocation ORDER BY id"
    against = _by(connection, asked, "payment_id")
    made = []
    asked = "SELECT * FROM payment WHERE series = 'receipt' AND job_id IS NOT NULL ORDER BY id"
    for payment in _rows(connection, asked):
        own = [row for row in against[payment["id"]] if row["at"] == payment["at"] and payment["kind"] != "held"]
        head = _head(heads.get(payment["job_id"]), names.get(payment["customer_id"]))
        content = {"form": 1, "head": head, "facts": None, **_words(payment, own, papers)}
        made.append(
            {
                "payment_id": payment["id"],
                "at": payment["at"],
                "on": payment["on"],
                "content": json.dumps(content, ensure_ascii=False),
                "is_reconstructed": True,
            }
        )
    _keep(connection, "receipt", made)


def _head(paper: dict | None, name: str | None) -> dict | None:
    if paper is None:
        return None
    frozen = json.loads(paper["frozen"])
    head = {word: frozen.get(word) for word in _HEAD}
    return (head | {"to": name, "to_lines": []}) if name else head


def _words(payment: dict, own: list[dict], papers: dict[int, dict]) -> dict:
    amount, is_back = payment["amount_minor"], payment["amount_minor"] < 0
    sums: dict[int, int] = {}
    for row in own:
        sums[row["invoice_id"]] = sums.get(row["invoice_id"], 0) + row["amount_minor"]
    rows = [[f"{_PAPERS[papers[key]['kind']]} {papers[key]['number']}", minor] for key, minor in sums.items() if minor]
    rest = amount - sum(minor for _, minor in rows)
    if rest:
        rows.append(["Given back" if is_back else _REST.get(payment["kind"], "On account"), rest])
    return {
        "kind": "Money given back" if is_back else "Receipt",
        "rows": rows,
        "last": ["Given back" if is_back else "Received", amount],
        "notes": [line for line in (_NOTES.get(payment["kind"], ""), payment["reason"]) if line],
    }
