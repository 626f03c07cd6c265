"""Rework is put into a plan: drafted with hours, mixes and waits, after the stage that it repairs."""

from collections.abc import Sequence

from shopbook.models.jobs import Job, Stage
from shopbook.queries.jobs.planning import planning_of
from shopbook.queries.jobs.plans import get_stage
from shopbook.services.act import Act
from shopbook.services.jobs.history import keep_version, log_job
from shopbook.services.jobs.inserting import insert_stage
from shopbook.services.jobs.writing import StageWriter
from shopbook.trade.planning.rework import draft_rework
from shopbook.trade.purposes import StagePurpose

USUAL_MINUTES = 30
"""What a stage that is added without any standard is planned at, until somebody says better."""


def add_rework(
    act: Act,
    job: Job,
    codes: Sequence[str],
    *,
    behind_id: int | None = None,
    before_id: int | None = None,
    panels: Sequence[str],
    why: str,
    rework_of_id: int | None = None,
) -> list[Stage]:
    """Put stages of the catalogue after another, or in front of one, in order, with what they use on these panels.

    Each carries its own mixes, papers, cautions, steps and wait by the standards that the job's plan was drafted from.
    They are rework: no approval is needed, and none of it is billed.
    """
    planning = planning_of(act.session, job, act.moment)
    drafted = draft_rework(
        planning.catalogue,
        planning.car,
        planning.damages,
        planning.conditions,
        planning.choices,
        panels=panels,
        codes=codes,
    )
    writer = StageWriter(act.session, job, planning, StagePurpose.REWORK)
    added: list[int] = []
    for each in drafted:
        row = insert_stage(
            act.session,
            job,
            code=each.code,
            name=each.name,
            skill=each.skill,
            minutes=each.minutes,
            after_stage_id=added[-1] if added else behind_id,
            before_stage_id=None if added else before_id,
            purpose=StagePurpose.REWORK,
            why=why,
            panels=each.panels,
            rework_of_id=rework_of_id,
        )
        writer.write(each, row)
        row.planned_minutes = row.planned_minutes or USUAL_MINUTES
        added.append(row.id)
    writer.finish()
    if added:
        keep_version(act, job, f"Rework: {why}")
        log_job(act, "add_rework", job, f"Rework: {why}"[:400])
    return [get_stage(act.session, key) for key in added]
