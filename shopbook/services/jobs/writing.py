"""One drafted stage becomes a row with its panels and uses; written anew into the same row when it is drafted again."""

from collections.abc import Iterator, Mapping
from dataclasses import asdict
from typing import Any

from sqlalchemy import delete, insert, select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job, Stage, StagePanel, StageUse, StageWait
from shopbook.models.shelf import Material
from shopbook.queries.jobs.planning import Planning
from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.floor.coat_waits import CoatWait
from shopbook.trade.measures.amounts import divide_half_away
from shopbook.trade.planning.groups import group_key
from shopbook.trade.planning.shapes import DraftStage, DraftUse
from shopbook.trade.purposes import JobPurpose, StagePurpose

_PURPOSES: dict[str, StagePurpose] = {
    JobPurpose.GOODWILL: StagePurpose.GOODWILL,
    JobPurpose.OWN_CAR: StagePurpose.OWN_CAR,
    JobPurpose.COMEBACK: StagePurpose.REWORK,
}


def purpose_in(job: Job) -> StagePurpose:
    """What a newly drafted stage is for in this job: extra work once the plan was approved."""
    return _PURPOSES.get(job.purpose, StagePurpose.PLAN if job.agreed_at is None else StagePurpose.EXTRA)


def materials_by_role(session: Session) -> dict[str, int]:
    """The material on the shelf that stands for each role, by id; the newest of several."""
    rows = session.execute(
        select(Material.role, Material.id).where(Material.role != "", Material.is_active).order_by(Material.id)
    )
    return {role: key for role, key in rows}


class StageWriter:
    """Writes the stages of one draft of one job: first their rows, then all that hangs on them at once."""

    def __init__(self, session: Session, job: Job, planning: Planning, purpose: StagePurpose) -> None:
        self._session = session
        self._job = job
        self._catalogue: Catalogue = planning.catalogue
        self._hurt = tuple(dict.fromkeys(damage.panel for damage in planning.damages))
        self._purpose = purpose
        self._materials: Mapping[str, int] = materials_by_role(session)
        self._written: list[tuple[Stage, DraftStage]] = []

    def write(self, drafted: DraftStage, row: Stage | None) -> Stage:
        """The drafted stage in a new row, or in `row` with its earlier figures replaced; kept by `finish`."""
        stage = row or Stage(job_id=self._job.id, code=drafted.code)
        for name, value in self._values(drafted).items():
            setattr(stage, name, value)
        stage.struck_at, stage.struck_why = None, ""
        self._session.add(stage)
        self._written.append((stage, drafted))
        return stage

    def finish(self) -> None:
        """Keep what was written, each stage with its panels and uses in place of those it had."""
        # The stages first: panels and uses are deleted and written by statements that name their keys.
        self._session.flush()
        stage_ids = [stage.id for stage, _ in self._written]
        panels = [panel for stage, drafted in self._written for panel in self._panels(stage, drafted)]
        uses = [self._use(stage, use) for stage, drafted in self._written for use in drafted.uses]
        waits = [wait_row(stage.id, wait) for stage, drafted in self._written for wait in drafted.waits]
        self._session.execute(delete(StagePanel).where(StagePanel.stage_id.in_(stage_ids)))
        self._session.execute(delete(StageUse).where(StageUse.stage_id.in_(stage_ids)))
        self._session.execute(delete(StageWait).where(StageWait.stage_id.in_(stage_ids)))
        # A hundred rows that nobody holds: all at once, where a row of its own would be asked for its key.
        for table, rows in ((StagePanel, panels), (StageUse, uses), (StageWait, waits)):
            if rows:
                self._session.execute(insert(table), rows)

    def _values(self, drafted: DraftStage) -> dict[str, Any]:
        return {
            "name": drafted.name,
            "skill": drafted.skill,
            "purpose": self._purpose,
            "quote_group_key": group_key(drafted.panels, self._hurt, self._catalogue),
            "standard_minutes": drafted.minutes,
            "planned_minutes": drafted.minutes,
            "flash_minutes": drafted.flash_minutes,
            "cautions": list(drafted.cautions),
            "steps": list(drafted.steps),
            "reasons": list(drafted.reasons),
            "mixes": [asdict(mix) for mix in drafted.mixes],
        }

    def _panels(self, stage: Stage, drafted: DraftStage) -> Iterator[dict[str, Any]]:
        minutes = dict(drafted.minutes_by_panel)
        for panel in drafted.panels:
            coats = ",".join(dict.fromkeys(coat for on, coat in drafted.lays if on == panel))
            yield {"stage_id": stage.id, "panel": panel, "minutes": minutes.get(panel, 0), "coats": coats}

    def _use(self, stage: Stage, use: DraftUse) -> dict[str, Any]:
        return {
            "stage_id": stage.id,
            "role": use.role,
            "material_id": self._materials.get(use.role),
            "unit": use.unit,
            "way": use.way,
            "amount_thousandths": use.amount_thousandths,
            "mix": use.mix or "",
            "guess_cost_minor": guess_cost(self._catalogue, use.role, use.amount_thousandths),
            "is_touched": False,
            "reason": use.reason,
        }


def guess_cost(catalogue: Catalogue, role: str, amount_thousandths: int) -> int | None:
    """What an amount costs by the catalogue's guessed pack price, in minor units; None without one."""
    material = catalogue.materials.get(role)
    if material is None or material.price_minor is None:
        return None
    return divide_half_away(amount_thousandths * material.price_minor, material.pack_thousandths)


def wait_row(stage_id: int, wait: CoatWait) -> dict[str, Any]:
    """A wait of a coat as the row of the stage that lays it."""
    return {
        "stage_id": stage_id,
        "panel": wait.panel,
        "coat": wait.coat,
        "opens": wait.opens.value,
        "kind": wait.kind,
        "not_before_minutes": wait.not_before_minutes,
        "not_after_minutes": wait.not_after_minutes,
        "adds": wait.adds,
        "reason": wait.reason,
        "is_inside": wait.is_inside,
        "is_kept_over_closed_days": wait.is_kept_over_closed_days,
    }
