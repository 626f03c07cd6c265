"""the work planned when a customer approved it is kept with the approval; an issued line keeps its minutes

Old approvals are reconstructed from the plan's version of that day where there is one: hours at the mean cost of that
day of the people with the skill, materials at what they cost on average by then, parts as they stand written down. Of
an approval before any plan nothing is written, and its work is not known.

Revision ID: 20261130_approved_work
Revises: 20261130_as_of
"""

import json
from collections import defaultdict

import sqlalchemy as sa
from alembic import op

revision = "20261130_approved_work"
down_revision = "20261130_as_of"
branch_labels = None
depends_on = None

_COLOURS = {"colour", "ground_colour", "mid_colour", "touch_in"}
_NEVER_PLANNED = {"extra", "rework"}
_BATCH = 500


def upgrade() -> None:
    op.add_column("invoice_line", sa.Column("minutes", sa.Integer(), nullable=True))
    op.create_table(
        "approval_work",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("approval_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(32), nullable=False),
        sa.Column("item_key", sa.Integer(), nullable=False, server_default="0"),
        sa.Column("line_key", sa.Integer(), nullable=False, server_default="0"),
        sa.Column("stage_id", sa.Integer(), nullable=True),
        sa.Column("skill", sa.String(32), nullable=False, server_default=""),
        sa.Column("minutes", sa.Integer(), nullable=False, server_default="0"),
        sa.Column("hour_minor", sa.BigInteger(), nullable=False, server_default="0"),
        sa.Column("role", sa.String(32), nullable=False, server_default=""),
        sa.Column("material_id", sa.Integer(), nullable=True),
        sa.Column("unit", sa.String(32), nullable=False, server_default=""),
        sa.Column("amount_thousandths", sa.BigInteger(), nullable=False, server_default="0"),
        sa.Column("cost_minor", sa.BigInteger(), nullable=False, server_default="0"),
        sa.Column("is_reconstructed", sa.Boolean(), nullable=False, server_default=sa.false()),
        sa.CheckConstraint("minutes >= 0", name=op.f("ck_approval_work_minutes_not_negative")),
        sa.CheckConstraint("amount_thousandths >= 0", name=op.f("ck_approval_work_amount_not_negative")),
        sa.ForeignKeyConstraint(["approval_id"], ["approval.id"], name=op.f("fk_approval_work_approval_id_approval")),
        sa.ForeignKeyConstraint(["stage_id"], ["stage.id"], name=op.f("fk_approval_work_stage_id_stage")),
        sa.ForeignKeyConstraint(["material_id"], ["material.id"], name=op.f("fk_approval_work_material_id_material")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_approval_work")),
    )
    op.create_index(op.f("ix_approval_work_approval_id"), "approval_work", ["approval_id"])
    _reconstruct(op.get_bind())


def downgrade() -> None:
    op.drop_index(op.f("ix_approval_work_approval_id"), "approval_work")
    op.drop_table("approval_work")
    with op.batch_alter_table("invoice_line") as batch:
        batch.drop_column("minutes")


def _rows(connection: sa.Connection, asked: str) -> list[dict]:
    return [dict(row) for row in connection.execute(sa.text(asked)).mappings()]


def _by(connection: sa.Connection, asked: str, name: str) -> dict[object, list[dict]]:
    found: dict[object, list[dict]] = defaultdict(list)
    for row in _rows(connection, asked):
        found[row[name]].append(row)
    return found


def _reconstruct(connection: sa.Connection) -> None:
    versions = _by(connection, "SELECT job_id, at, body FROM plan_version ORDER BY version", "job_id")
    book = _Book(connection)
    made = []
    asked = "SELECT id, job_id, quote_id, at, \"on\" AS day FROM approval WHERE party = 'customer' ORDER BY id"
    for approval in _rows(connection, asked):
        known = [row for row in versions[approval["job_id"]] if row["at"] <= approval["at"]]
        # JSON lies in a text column on both databases. Of a body that is no plan nothing can be said.
        body = json.loads(known[-1]["body"]) if known else None
        if isinstance(body, dict) and {"damages", "stages"} <= body.keys():
            made += _Plan(book, approval, body).pieces()
    _keep(connection, made)


def _keep(connection: sa.Connection, rows: list[dict]) -> None:
    blank = {"item_key": 0, "line_key": 0, "stage_id": None, "skill": "", "minutes": 0, "hour_minor": 0, "role": ""}
    blank |= {"unit": "", "amount_thousandths": 0, "cost_minor": 0, "is_reconstructed": True}
    whole = [blank | row for row in rows]
    if not whole:
        return
    names = list(whole[0])
    values = ", ".join(f":{name}" for name in names)
    asked = sa.text(f"INSERT INTO approval_work ({', '.join(names)}) VALUES ({values})")
    for first in range(0, len(whole), _BATCH):
        connection.execute(asked, whole[first : first + _BATCH])


class _Book:
    """What is read once for all approvals."""

    def __init__(self, connection: sa.Connection) -> None:
        self.kinds = {row["id"]: row["kind"] for row in _rows(connection, "SELECT id, kind FROM quote")}
        self.groups = _by(connection, "SELECT id, quote_id, key, first_key FROM quote_group ORDER BY id", "quote_id")
        self.lines = _by(
            connection, "SELECT group_id, kind, skill, minutes, line_key FROM quote_line ORDER BY id", "group_id"
        )
        taken = _rows(connection, "SELECT approval_id, group_id, is_taken FROM approval_group")
        self.taken = {(row["approval_id"], row["group_id"]) for row in taken if row["is_taken"]}
        self.parts = _by(
            connection,
            "SELECT job_id, kind, quote_group_key, cost_minor, line_key, struck_at FROM job_part ORDER BY id",
            "job_id",
        )
        self.stage_ids = {row["id"] for row in _rows(connection, "SELECT id FROM stage")}
        uses = _rows(connection, "SELECT stage_id, role, material_id, way, guess_cost_minor FROM stage_use ORDER BY id")
        self.uses = {(row["stage_id"], row["role"]): row for row in uses}
        self.costs = _rows(connection, "SELECT person_id, cost_minor, from_on FROM person_cost ORDER BY from_on, id")
        self.skills = _by(connection, "SELECT person_id, skill FROM person_skill", "skill")
        materials = _rows(connection, "SELECT id, role, unit, way, pack_thousandths, pack_price_minor FROM material")
        self.materials = defaultdict(list)
        for row in sorted(materials, key=lambda row: row["id"]):
            self.materials[row["role"]].append(row)
        self.moved = _by(
            connection,
            'SELECT material_id, "on" AS day, SUM(quantity_thousandths) AS quantity, SUM(value_minor) AS worth '
            'FROM movement GROUP BY material_id, "on"',
            "material_id",
        )

    def hour(self, skill: str, day: object) -> int:
        """The mean cost of an hour of people with a skill on a day; of everybody's where none of them has a cost."""
        held = {row["person_id"]: row["cost_minor"] for row in self.costs if row["from_on"] <= day}
        own = [held[row["person_id"]] for row in self.skills[skill] if held.get(row["person_id"])]
        known = own or [cost for cost in held.values() if cost]
        return _half_away(sum(known), len(known)) if known else 0

    def price(self, role: str, unit: str, day: object) -> tuple[int, int] | None:
        """(value, quantity) of the role's materials on the shelf at a day's end, else of a pack; None: not known."""
        own = [row for row in self.materials[role] if row["unit"] == unit] if role else []
        moved = [move for row in own for move in self.moved[row["id"]] if move["day"] <= day]
        worth, quantity = (int(sum(move[name] for move in moved)) for name in ("worth", "quantity"))
        if worth > 0 and quantity > 0:
            return worth, quantity
        return next(
            ((row["pack_price_minor"], row["pack_thousandths"]) for row in own if row["pack_price_minor"]), None
        )

    def is_supplies(self, use: dict, role: str) -> bool:
        """Whether it is one of the shop supplies: as the stage's use says, else as the material does."""
        way = use.get("way") or next((row["way"] for row in self.materials[role]), "")
        return way == "shop_supplies"


class _Plan:
    """The plan of one approval's day, and the groups that it took, by key."""

    def __init__(self, book: _Book, approval: dict, body: dict) -> None:
        self.book, self.approval, self.body = book, approval, body
        self.is_extra = book.kinds[approval["quote_id"]] == "extra"
        rows = book.groups[approval["quote_id"]]
        self.groups = {row["key"]: row for row in rows if (approval["id"], row["id"]) in book.taken}
        self.hurt = list(dict.fromkeys(row["panel"] for row in body["damages"] if not row["is_left"]))
        self.stages = [row for row in body["stages"] if self.is_own(row)]
        self.shares = self.spread()
        self.own_parts = [row for row in book.parts[approval["job_id"]] if self.is_bought(row)]

    def is_own(self, stage: dict) -> bool:
        if stage["is_struck"]:
            return False
        return stage["group"] in self.groups if self.is_extra else stage["purpose"] not in _NEVER_PLANNED

    def is_bought(self, part: dict) -> bool:
        if part["struck_at"] is not None and part["struck_at"] <= self.approval["at"]:
            return False
        if not self.is_extra:
            return not part["quote_group_key"].startswith("extra-")
        keys = {line["line_key"] for group in self.groups.values() for line in self.book.lines[group["id"]]}
        return part["quote_group_key"] in self.groups or part["line_key"] in keys

    def spread(self) -> dict[int, dict[str, int]]:
        """Minutes by stage and group, those of the whole car over the hurt panels by their hours."""
        found = {stage["id"]: self.by_group(stage) for stage in self.stages}
        weights = {panel: sum(shares.get(panel, 0) for shares in found.values()) for panel in self.hurt}
        for shares in found.values() if any(weights.values()) else ():
            whole = shares.pop("car", 0)
            for panel, part in zip(weights, _share_out(whole, list(weights.values())), strict=True):
                if part:
                    shares[panel] = shares.get(panel, 0) + part
        return found

    def by_group(self, stage: dict) -> dict[str, int]:
        """What is only blended into goes with the stage's own group: its neighbours are no figure of the book."""
        own = stage["group"] or "car"
        panels = {panel: row[0] for panel, row in stage["panels"].items() if panel not in {"", "car"}}
        if not panels or own not in {"car", *self.hurt}:
            return {own: stage["minutes"]}
        found: dict[str, int] = {}
        for panel, part in zip(panels, _share_out(stage["minutes"], list(panels.values())), strict=True):
            key = panel if panel in self.hurt else own
            found[key] = found.get(key, 0) + part
        return found

    def pieces(self) -> list[dict]:
        hours = self.hours()
        found = hours + self.typed_hours(hours) + self.materials() + self.bought()
        known = {row["item_key"] for row in found}
        empty = [key for key, group in self.groups.items() if group["first_key"] not in known]
        return found + [self.piece(key, {"kind": "labour"}) for key in empty]

    def hours(self) -> list[dict]:
        return [
            self.labour("" if stage["purpose"] == "strip_and_look" else key, stage["skill"], minutes, stage["id"])
            for stage in self.stages
            for key, minutes in self.shares[stage["id"]].items()
            if minutes
        ]

    def labour(self, key: str, skill: str, minutes: int, stage_id: int | None = None) -> dict:
        group, hour = self.groups.get(key), self.book.hour(skill, self.approval["day"])
        lines = self.book.lines[group["id"]] if group else []
        line_key = next((row["line_key"] for row in lines if row["kind"] == "labour" and row["skill"] == skill), 0)
        found = {"kind": "labour", "line_key": line_key, "skill": skill, "minutes": minutes, "hour_minor": hour}
        return self.piece(key, found | {"cost_minor": _half_away(minutes * hour, 60)}, stage_id)

    def piece(self, key: str, found: dict, stage_id: int | None = None) -> dict:
        group = self.groups.get(key)
        stage = stage_id if stage_id in self.book.stage_ids else None
        item = group["first_key"] if group else 0
        return {"approval_id": self.approval["id"], "item_key": item, "stage_id": stage, "material_id": None} | found

    def typed_hours(self, planned: list[dict]) -> list[dict]:
        """Hours of lines that no stage stands for."""
        found = []
        for key, group in self.groups.items():
            own = [row for row in planned if row["item_key"] == group["first_key"]]
            typed: dict[str, int] = defaultdict(int)
            for line in self.book.lines[group["id"]]:
                if line["kind"] == "labour":
                    typed[line["skill"]] += line["minutes"]
            for skill, minutes in typed.items() if self.is_extra or not own else ():
                beyond = minutes - sum(row["minutes"] for row in own if row["skill"] == skill)
                if beyond > 0:
                    found.append(self.labour(key, skill, beyond))
        return found

    def materials(self) -> list[dict]:
        """What each stage would use; of shop supplies only what they come to."""
        found = []
        for stage in self.stages:
            own = list(self.shares[stage["id"]])
            key = own[0] if len(own) == 1 else ""
            rows = [row for use in stage["uses"] for row in self.used(stage["id"], key, *use[:3])]
            supplies = sum(row["cost_minor"] for row in rows if row["kind"] == "supplies")
            found += [row for row in rows if row["kind"] != "supplies"]
            if supplies:
                found.append(self.piece(key, {"kind": "supplies", "cost_minor": supplies}, stage["id"]))
        return found

    def used(self, stage_id: int, key: str, role: str, amount: int, unit: str) -> list[dict]:
        """One use, but for colour that the shelf has no price for and that is written down as bought."""
        use = self.book.uses.get((stage_id, role), {})
        price = self.book.price(role, unit, self.approval["day"])
        is_colour = role in _COLOURS and price is None
        if is_colour and any(part["kind"] == "colour" for part in self.own_parts):
            return []
        kind = "colour" if is_colour else "supplies" if self.book.is_supplies(use, role) else "materials"
        cost = _half_away(price[0] * amount, price[1]) if price else use.get("guess_cost_minor") or 0
        found = {"kind": kind, "role": role, "unit": unit, "amount_thousandths": amount, "cost_minor": cost}
        return [self.piece(key, found | {"material_id": use.get("material_id")}, stage_id)]

    def bought(self) -> list[dict]:
        return [
            self.piece(
                part["quote_group_key"] or "car",
                {"kind": part["kind"], "line_key": part["line_key"], "cost_minor": part["cost_minor"]},
            )
            for part in self.own_parts
        ]


def _half_away(amount: int, over: int) -> int:
    whole = (2 * abs(amount) + over) // (2 * over)
    return whole if amount >= 0 else -whole


def _share_out(whole: int, weights: list[int]) -> list[int]:
    """A whole in parts that sum to it, by their weights; evenly where none has one."""
    counted = weights if any(weights) else [1] * len(weights)
    found, so_far, before = [], 0, 0
    for weight in counted:
        so_far += weight
        upto = _half_away(whole * so_far, sum(counted))
        found.append(upto - before)
        before = upto
    return found
