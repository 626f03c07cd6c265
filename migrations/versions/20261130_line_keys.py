"""every priced line has a key; a further panel's saving is frozen with its quote

Across a job's versions, equal kind, item and words (or the same bought part) share a key. An issued line gets one where
its title, kind, words and amount match one line only; the rest stay without ("before keys").

Revision ID: 20261130_line_keys
Revises: 20261126_sign_in
"""

from collections import Counter, defaultdict

import sqlalchemy as sa
from alembic import op

revision = "20261130_line_keys"
down_revision = "20261126_sign_in"
branch_labels = None
depends_on = None

_WHOLE = {
    "job": ("last_line_key",),
    "job_part": ("line_key",),
    "quote": ("first_key", "saving_touching_permille", "saving_apart_permille"),
    "quote_group": ("first_key", "paint_minutes", "panel_place"),
    "quote_line": ("line_key",),
}
_ITEM_KEYS, _QUOTE_KEYS = 2, 8
_BEYOND = {"body": 1, "paint": 2, "detail": 3}


def upgrade() -> None:
    for table, names in _WHOLE.items():
        for name in names:
            op.add_column(table, sa.Column(name, sa.Integer(), nullable=False, server_default="0"))
    op.add_column("quote", sa.Column("saving_rate_minor", sa.BigInteger(), nullable=False, server_default="0"))
    op.add_column("quote_group", sa.Column("touches", sa.String(200), nullable=False, server_default=""))
    op.add_column("quote_group", sa.Column("list_minor", sa.BigInteger(), nullable=True))
    op.add_column("invoice_line", sa.Column("line_key", sa.Integer(), nullable=True))
    op.add_column("invoice_line", sa.Column("item_key", sa.Integer(), nullable=True))
    op.create_table(
        "line_match",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("invoice_line_id", sa.Integer(), nullable=False),
        sa.Column("line_key", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("on", sa.Date(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(
            ["invoice_line_id"], ["invoice_line.id"], name=op.f("fk_line_match_invoice_line_id_invoice_line")
        ),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_line_match_person_id_person")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_line_match")),
    )
    op.create_index(op.f("ix_line_match_invoice_line_id"), "line_match", ["invoice_line_id"])
    _draw_keys(op.get_bind())


def downgrade() -> None:
    op.drop_index(op.f("ix_line_match_invoice_line_id"), "line_match")
    op.drop_table("line_match")
    dropped = {
        **_WHOLE,
        "quote": (*_WHOLE["quote"], "saving_rate_minor"),
        "quote_group": (*_WHOLE["quote_group"], "touches", "list_minor"),
        "invoice_line": ("line_key", "item_key"),
    }
    for table, names in dropped.items():
        with op.batch_alter_table(table) as batch:
            for name in names:
                batch.drop_column(name)


def _draw_keys(connection: sa.Connection) -> None:
    on = "" if connection.dialect.name == "sqlite" else " ON invoice_line"
    # An issued line is append-only; its guard is made anew after the migration.
    connection.execute(sa.text(f"DROP TRIGGER IF EXISTS guard_invoice_line_update{on}"))
    jobs = _by(connection, "SELECT id, job_id FROM quote UNION SELECT id, job_id FROM invoice", "job_id")
    parts = _by(connection, "SELECT id, job_id, kind, name, price_minor FROM job_part ORDER BY id", "job_id")
    quotes = _by(connection, "SELECT id, job_id, version, kind, has_tax_inside FROM quote ORDER BY version", "job_id")
    groups = _by(connection, "SELECT id, quote_id, key, title FROM quote_group ORDER BY position, id", "quote_id")
    lines = _by(
        connection,
        "SELECT id, group_id, kind, words, amount_minor, job_part_id FROM quote_line ORDER BY id",
        "group_id",
    )
    issued = _by(
        connection,
        "SELECT l.id, l.invoice_id, i.job_id, i.kind AS paper, i.credits_id, l.group_title, l.kind, l.words, "
        "l.net_minor, t.rate_thousandths FROM invoice_line l JOIN invoice i ON i.id = l.invoice_id "
        "LEFT JOIN invoice_tax t ON t.invoice_id = l.invoice_id AND t.code = l.tax_code ORDER BY l.id",
        "job_id",
    )
    for job_id in sorted({*jobs, *parts}):
        keys = _Keys()
        for part in parts[job_id]:
            keys.parts[part["id"]] = keys.draw()
        for quote in quotes[job_id]:
            keys.write_quote(quote, groups, lines)
        for part in parts[job_id]:
            keys.candidates.append(
                (
                    "Not on the quote",
                    part["kind"],
                    part["name"],
                    part["price_minor"],
                    False,
                    keys.parts[part["id"]],
                    keys.parts[part["id"]],
                )
            )
            keys.rows["job_part"].append({"row": part["id"], "line_key": keys.parts[part["id"]]})
        for line in issued[job_id]:
            keys.match(line)
        keys.keep(connection, job_id)


def _by(connection: sa.Connection, asked: str, name: str) -> dict[int, list[dict[str, object]]]:
    found: dict[int, list[dict[str, object]]] = defaultdict(list)
    for row in connection.execute(sa.text(asked)).mappings():
        found[row[name]].append(dict(row))
    return found


class _Keys:
    """The keys of one job as they are drawn, and the rows that they are written to."""

    def __init__(self) -> None:
        self.last = 0
        self.parts: dict = {}
        self.known: dict = {}
        self.candidates: list = []
        self.rows: dict = defaultdict(list)
        self.issued: dict = defaultdict(set)

    def draw(self, count: int = 1) -> int:
        first = self.last + 1
        self.last += count
        return first

    def same(self, identity: tuple, count: int = 1) -> int:
        if identity not in self.known:
            self.known[identity] = self.draw(count)
        return self.known[identity]

    def write_quote(self, quote: dict, groups: dict, lines: dict) -> None:
        is_extra = quote["kind"] == "extra"
        whose = quote["id"] if is_extra else "main"
        first = self.same(("quote", whose), _QUOTE_KEYS)
        self.rows["quote"].append({"row": quote["id"], "first_key": first})
        self.candidates.append(("", "discount", "Discount", None, False, first, 0))
        for skill, place in _BEYOND.items():
            words = f"Hours beyond the estimate, {skill}"
            self.candidates.append(("Beyond the estimate", "labour", words, None, False, first + place, first + place))
        seen: Counter = Counter()
        for group in groups[quote["id"]]:
            self.write_group(quote, whose, group, lines[group["id"]], seen)

    def write_group(self, quote: dict, whose: object, group: dict, lines: list, seen: Counter) -> None:
        seen[group["key"]] += 1
        item = self.same(("item", whose, group["key"], seen[group["key"]]), _ITEM_KEYS)
        self.rows["quote_group"].append({"row": group["id"], "first_key": item})
        title = f"Extra · {group['title']}" if quote["kind"] == "extra" else group["title"]
        for line in lines:
            identity = ("line", whose, group["key"], line["kind"], line["words"])
            seen[identity] += 1
            part = self.parts.get(line["job_part_id"])
            if part is not None and not seen[("part", part)]:
                key, seen[("part", part)] = part, 1
            else:
                key = self.same((*identity, seen[identity]))
            self.rows["quote_line"].append({"row": line["id"], "line_key": key})
            inside = bool(quote["has_tax_inside"])
            self.candidates.append((title, line["kind"], line["words"], line["amount_minor"], inside, key, item))

    def match(self, line: dict) -> None:
        """An issued line's key where it can be no other; a deposit is no line of the quote."""
        named = (line["group_title"], line["kind"], line["words"])
        found = self.issued[(line["credits_id"], *named)] if line["paper"] == "credit" else self.quoted(line, named)
        if len(found) == 1 and line["paper"] != "deposit":
            ((key, item),) = found
            self.issued[(line["invoice_id"], *named)].add((key, item))
            self.rows["invoice_line"].append({"row": line["id"], "line_key": key, "item_key": item or None})

    def quoted(self, line: dict, named: tuple) -> set:
        """The keys (with their item's) of the quoted lines that an invoice's line can be."""
        net = line["net_minor"]
        gross = net + _half_away(net * (line["rate_thousandths"] or 0), 100_000)
        return {
            (key, item)
            for title, kind, words, amount, inside, key, item in self.candidates
            if (title, kind, words) == named
            and (amount is None or abs((gross if inside else net) - amount) <= int(inside))
        }

    def keep(self, connection: sa.Connection, job_id: int) -> None:
        self.rows["job"].append({"row": job_id, "last_line_key": self.last})
        for table, rows in self.rows.items():
            names = [name for name in rows[0] if name != "row"]
            sets = ", ".join(f"{name} = :{name}" for name in names)
            connection.execute(sa.text(f"UPDATE {table} SET {sets} WHERE id = :row"), rows)


def _half_away(amount: int, over: int) -> int:
    whole = (2 * abs(amount) + over) // (2 * over)
    return whole if amount >= 0 else -whole
