"""a wait belongs to its coat: every stored drying time becomes a row of the coat that it was meant for

Revision ID: 20261130_coats
Revises: 20261130_seal

A stage that lays a coat gives its wait to that coat. A wait behind a stage that lays none (after unmasking) goes to the
coat last laid under it, with its own minutes and what lay between: the minutes that really passed where both are done,
else those that the old plan reckoned with. So no coat gets less time than it had. The shop's own edits go the same way.
"""

import json
from collections import defaultdict
from datetime import datetime
from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "20261130_coats"
down_revision = "20261130_seal"
branch_labels = None
depends_on = None

_ONE_OF = ("stage_id", "panel", "coat", "opens", "is_inside")
_WITH_THE_STAGE = (
    "wait_kind",
    "not_before_minutes",
    "not_after_minutes",
    "adds_stage",
    "wait_reason",
    "wait_detail",
)
_OTHER, _WHOLE = "other", ""
_LAID = ("filler", "primer", "base", "clear")
_INSIDE_COATS = {"scuff_base": "base", "promoter_again": "promoter", "scuff_primer": "etch"}

_STAGE = sa.table(
    "stage",
    *(sa.column(name, sa.Integer) for name in ("id", "job_id", "position", "planned_minutes", "not_before_minutes")),
    sa.column("not_after_minutes", sa.Integer),
    *(sa.column(name, sa.String) for name in ("code", "wait_kind", "adds_stage", "wait_reason", "wait_detail")),
    *(sa.column(name, sa.DateTime(timezone=True)) for name in ("finished_at", "struck_at")),
)
_PANEL = sa.table(
    "stage_panel", sa.column("stage_id", sa.Integer), sa.column("panel", sa.String), sa.column("coats", sa.String)
)
_WAIT = sa.table(
    "coat_wait",
    *(sa.column(name, sa.Integer) for name in ("id", "stage_id", "not_before_minutes", "not_after_minutes")),
    *(sa.column(name, sa.String) for name in ("panel", "coat", "opens", "kind", "adds", "reason")),
    *(sa.column(name, sa.Boolean) for name in ("is_inside", "is_kept_over_closed_days")),
)


def upgrade() -> None:
    if sa.inspect(op.get_bind()).has_table("coat_wait"):
        return  # A program of one day took this step before it sealed a book.
    op.create_table(
        "coat_wait",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("stage_id", sa.Integer(), nullable=False),
        sa.Column("panel", sa.String(32), nullable=False, server_default=""),
        sa.Column("coat", sa.String(32), nullable=False),
        sa.Column("opens", sa.String(32), nullable=False),
        sa.Column("kind", sa.String(32), nullable=False),
        sa.Column("not_before_minutes", sa.Integer(), nullable=False, server_default="0"),
        sa.Column("not_after_minutes", sa.Integer(), nullable=True),
        sa.Column("adds", sa.String(32), nullable=False, server_default=""),
        sa.Column("reason", sa.Text(), nullable=False, server_default=""),
        sa.Column("is_inside", sa.Boolean(), nullable=False, server_default=sa.false()),
        sa.Column("is_kept_over_closed_days", sa.Boolean(), nullable=False, server_default=sa.true()),
        sa.CheckConstraint("not_before_minutes >= 0", name=op.f("ck_coat_wait_wait_not_negative")),
        sa.ForeignKeyConstraint(["stage_id"], ["stage.id"], name=op.f("fk_coat_wait_stage_id_stage")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_coat_wait")),
        sa.UniqueConstraint(*_ONE_OF, name=op.f("uq_coat_wait_" + "_".join(_ONE_OF))),
    )
    _fill(op.get_bind())
    with op.batch_alter_table("stage") as batch:
        batch.drop_constraint(op.f("ck_stage_wait_not_negative"), type_="check")
        batch.add_column(sa.Column("flash_minutes", sa.Integer(), nullable=False, server_default="0"))
        for name in _WITH_THE_STAGE:
            batch.drop_column(name)
        batch.create_check_constraint(op.f("ck_stage_flash_not_negative"), "flash_minutes >= 0")


def _fill(connection: sa.Connection) -> None:
    panels: dict[int, dict[str, list[str]]] = defaultdict(dict)
    for stage_id, panel, coats in connection.execute(sa.select(_PANEL.c.stage_id, _PANEL.c.panel, _PANEL.c.coats)):
        panels[stage_id][panel] = [coat for coat in coats.split(",") if coat in _LAID]
    plans: dict[int, list[Any]] = defaultdict(list)
    for row in connection.execute(sa.select(_STAGE).order_by(_STAGE.c.job_id, _STAGE.c.position, _STAGE.c.id)):
        plans[row.job_id].append(row)
    for stages in plans.values():
        rows = _rows_of(stages, panels)
        if rows:
            connection.execute(_WAIT.insert(), rows)


def _rows_of(stages: list[Any], panels: dict[int, dict[str, list[str]]]) -> list[dict[str, Any]]:
    found: dict[tuple[int, str, str, str, bool], dict[str, Any]] = {}
    for place, stage in enumerate(stages):
        own = panels.get(stage.id, {})
        for inside in json.loads(stage.wait_detail or "{}").get("inside", []):
            for panel in own or [_WHOLE]:
                _keep(found, _inside_row(stage.id, panel, inside))
        if not stage.not_before_minutes and stage.not_after_minutes is None:
            continue
        for panel in own or _panels_before(stages[:place], panels) or [_WHOLE]:
            _keep(found, _row(stages, place, panel, panels))
    return list(found.values())


def _panels_before(before: list[Any], panels: dict[int, dict[str, list[str]]]) -> list[str]:
    """Every panel with a coat, for a stage of the whole car."""
    return list(dict.fromkeys(panel for stage in before for panel, coats in panels.get(stage.id, {}).items() if coats))


def _keep(found: dict[tuple[int, str, str, str, bool], dict[str, Any]], row: dict[str, Any]) -> None:
    """Of two waits for one coat the longer counts, with the shorter window."""
    key = (row["stage_id"], row["panel"], row["coat"], row["opens"], row["is_inside"])
    there = found.get(key)
    if there is None or row["not_before_minutes"] > there["not_before_minutes"]:
        found[key] = row


def _row(stages: list[Any], place: int, panel: str, panels: dict[int, dict[str, list[str]]]) -> dict[str, Any]:
    stage = stages[place]
    laid = panels.get(stage.id, {}).get(panel, [])
    if laid:
        return _wait_row(stage, stage.id, panel, laid[-1], _opens(stage, laid[-1]), 0)
    there = _laid_before(stages, place, panel, panels)
    if there is None:
        return _wait_row(stage, stage.id, panel, _OTHER, "sand", 0)
    layer = stages[there]
    coat = panels[layer.id][panel][-1]
    return _wait_row(stage, layer.id, panel, coat, "sand", _between(stages, there, place))


def _opens(stage: Any, coat: str) -> str:
    if stage.wait_kind == "cure" and coat == "clear" and stage.not_after_minutes is None:
        return "handle"
    return "coat" if stage.adds_stage and stage.wait_kind in {"flash", "recoat_window"} else "sand"


def _laid_before(stages: list[Any], place: int, panel: str, panels: dict[int, dict[str, list[str]]]) -> int | None:
    own = [at for at in range(place) if panels.get(stages[at].id, {}).get(panel)]
    standing = [at for at in own if stages[at].struck_at is None]
    return (standing or own or [None])[-1]


def _between(stages: list[Any], first: int, last: int) -> int:
    """Minutes from the coat laid to the end of the stage whose wait it was."""
    laid, done = _moment(stages[first].finished_at), _moment(stages[last].finished_at)
    if laid is not None and done is not None:
        return max(-int((laid - done).total_seconds() // 60), 0)
    reckoned = stages[first].not_before_minutes + stages[last].planned_minutes
    between = [stage for stage in stages[first + 1 : last] if stage.struck_at is None]
    return reckoned + sum(stage.not_before_minutes + stage.planned_minutes for stage in between)


def _moment(value: Any) -> datetime | None:
    return datetime.fromisoformat(value) if isinstance(value, str) else value


def _wait_row(stage: Any, stage_id: int, panel: str, coat: str, opens: str, between: int) -> dict[str, Any]:
    shuts = stage.not_after_minutes
    return {
        "stage_id": stage_id,
        "panel": panel,
        "coat": coat,
        "opens": opens,
        "kind": stage.wait_kind or "dry",
        "not_before_minutes": stage.not_before_minutes + between,
        "not_after_minutes": None if shuts is None else shuts + between,
        "adds": stage.adds_stage,
        "reason": stage.wait_reason,
        "is_inside": False,
        "is_kept_over_closed_days": True,
    }


def _inside_row(stage_id: int, panel: str, inside: dict[str, Any]) -> dict[str, Any]:
    adds = inside.get("adds") or ""
    reason = inside.get("reason") or ""
    coat = _INSIDE_COATS.get(adds, "filler" if inside["kind"] == "harden" else _OTHER)
    coat = "epoxy" if reason.startswith("Epoxy") else coat
    return {
        "stage_id": stage_id,
        "panel": panel,
        "coat": coat,
        "opens": "coat" if adds else "sand",
        "kind": inside["kind"],
        "not_before_minutes": inside["not_before_minutes"],
        "not_after_minutes": inside.get("not_after_minutes"),
        "adds": adds,
        "reason": reason,
        "is_inside": True,
        "is_kept_over_closed_days": inside.get("is_kept_over_closed_days", True),
    }


def downgrade() -> None:
    with op.batch_alter_table("stage") as batch:
        batch.drop_constraint(op.f("ck_stage_flash_not_negative"), type_="check")
        batch.drop_column("flash_minutes")
        batch.add_column(sa.Column("wait_kind", sa.String(32), nullable=False, server_default=""))
        batch.add_column(sa.Column("not_before_minutes", sa.Integer(), nullable=False, server_default="0"))
        batch.add_column(sa.Column("not_after_minutes", sa.Integer(), nullable=True))
        batch.add_column(sa.Column("adds_stage", sa.String(32), nullable=False, server_default=""))
        batch.add_column(sa.Column("wait_reason", sa.Text(), nullable=False, server_default=""))
        batch.add_column(sa.Column("wait_detail", sa.Text(), nullable=False, server_default="{}"))
        batch.create_check_constraint(op.f("ck_stage_wait_not_negative"), "not_before_minutes >= 0")
    _put_back(op.get_bind())
    op.drop_table("coat_wait")


def _put_back(connection: sa.Connection) -> None:
    """The longest wait of a stage's coats stands behind it again, and what it sat out within it beside that."""
    rows: dict[int, list[Any]] = defaultdict(list)
    for row in connection.execute(sa.select(_WAIT).order_by(_WAIT.c.id)):
        rows[row.stage_id].append(row)
    for stage_id, own in rows.items():
        after = [row for row in own if not row.is_inside]
        inside = {(row.coat, row.opens): row for row in own if row.is_inside}
        values: dict[str, Any] = {"wait_detail": json.dumps({"inside": [_body(row) for row in inside.values()]})}
        if after:
            last = max(after, key=lambda row: row.not_before_minutes)
            values |= {"wait_kind": last.kind, "not_before_minutes": last.not_before_minutes}
            values |= {"not_after_minutes": last.not_after_minutes, "adds_stage": last.adds}
            values |= {"wait_reason": last.reason}
        connection.execute(sa.update(_STAGE).where(_STAGE.c.id == stage_id).values(values))


def _body(row: Any) -> dict[str, Any]:
    names = ("kind", "not_before_minutes", "not_after_minutes", "adds", "reason", "is_kept_over_closed_days")
    return {name: getattr(row, name) for name in names}
