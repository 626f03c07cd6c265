"""What every change of a job leaves behind: its line in the log, and a frozen version of the whole plan."""

from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy.orm import Session

from shopbook.models.jobs import Damage, Job, PlanVersion, Stage
from shopbook.queries.jobs.damage import list_damages
from shopbook.queries.jobs.plans import find_version, last_version, list_stages, list_versions
from shopbook.queries.shelf.materials import get_material, materials_for_roles
from shopbook.services.act import Act
from shopbook.services.postings import write_log
from shopbook.trade.floor.coat_waits import CoatWait
from shopbook.trade.letters import lower_first, plain_code
from shopbook.trade.planning.lowered import lowered

FORM = 3
"""The form of a kept plan. One without a number is of form 1: its waits stood with the stage, as `not_before_minutes`
and `not_after_minutes`; from form 2 on with the coats, as `waits` (panel, coat, opens, not before, not after, adds,
whether within the stage), from form 3 on with the coats and area of each mix, as `mixes`. Readers take what all
have."""


OWN_ROLE = "material_"
"""Before the id of a material that stands for no role of the catalogue, in place of a role."""


def log_job(
    act: Act,
    deed: str,
    job: Job,
    words: str,
    *,
    subject: str = "job",
    subject_id: int | None = None,
) -> None:
    """One line of the log about a job. A sample's lines name no job, so that it can be removed."""
    job_id = None if job.is_sample else job.id
    write_log(act, deed, subject, subject_id or job.id, words, job_id=job_id)


def keep_version(act: Act, job: Job, why: str) -> int:
    """Freeze the plan as it stands now; answers the version's number. A sample keeps none and answers zero."""
    # What is frozen is read back from the book, so every change of the plan is written before.
    act.session.flush()
    if job.is_sample:
        return 0
    version = last_version(act.session, job.id) + 1
    body = plan_body(
        list_stages(act.session, job.id, with_struck=True), list_damages(act.session, job.id), job.conditions
    )
    act.session.add(
        PlanVersion(
            job_id=job.id,
            version=version,
            why=why[:200],
            body=body,
            at=act.moment,
            person_id=act.actor.person_id,
        )
    )
    # Written before it is compared: what was lowered is read from the kept plans, this one the newest.
    act.session.flush()
    _tell_lowered(act, job)
    return version


def keep_known(act: Act, job: Job) -> None:
    """Keep an approved plan once more before its first change where its newest version lacks what this form holds."""
    if job.agreed_at is None or job.is_sample:
        return
    newest = find_version(act.session, job.id)
    if newest is not None and newest.body.get("form", 1) < FORM:
        keep_version(act, job, "as it stood before the next change")


def _tell_lowered(act: Act, job: Job) -> None:
    """Let the answer and the log say what the newest version lowers of work that was agreed."""
    if job.agreed_at is None:
        return
    bodies = [each.body for each in list_versions(act.session, job.id)]
    for sentence in lowered(bodies, lambda role: _material_name(act.session, role)):
        act.told.append(sentence)
        log_job(act, "lower_agreed", job, sentence)


def _material_name(session: Session, role: str) -> str:
    own = role.removeprefix(OWN_ROLE)
    if own != role and own.isdigit():
        return get_material(session, int(own)).name
    found = materials_for_roles(session, [role]).get(role)
    return found.name if found else lower_first(plain_code(role))


def plan_body(stages: Sequence[Stage], damages: Sequence[Damage], conditions: Mapping[str, Any]) -> dict[str, Any]:
    """The whole plan as plain values: stages with panels, uses and waits; damages; what it was drafted for."""
    return {
        "form": FORM,
        "conditions": dict(conditions),
        "damages": [_damage_body(damage) for damage in damages],
        "stages": [_stage_body(stage) for stage in stages],
    }


def _stage_body(stage: Stage) -> dict[str, Any]:
    return {
        "id": stage.id,
        "position": stage.position,
        "code": stage.code,
        "name": stage.name,
        "skill": stage.skill,
        "purpose": stage.purpose,
        "group": stage.quote_group_key,
        "standard_minutes": stage.standard_minutes,
        "minutes": stage.planned_minutes,
        "is_touched": stage.is_touched,
        "flash_minutes": stage.flash_minutes,
        "waits": [_wait_body(wait) for wait in stage.coat_waits],
        "after": [each.after_id for each in stage.after],
        "panels": {each.panel: [each.minutes, each.coats] for each in stage.panels},
        "uses": [[use.role, use.amount_thousandths, use.unit, use.mix, use.is_touched] for use in stage.uses],
        "mixes": [[str(each.get("name") or each["code"]), each["code"], *_film(each)] for each in stage.mixes],
        "is_agreed": stage.agreed_at is not None,
        "is_done": stage.finished_at is not None,
        "is_struck": stage.struck_at is not None,
    }


def _film(mix: Mapping[str, Any]) -> tuple[int, int]:
    """Coats and cm² of a planned mix; zero where its draft did not keep them."""
    return int(mix.get("coats") or 0), int(mix.get("area_cm2") or 0)


def _wait_body(wait: CoatWait) -> list[Any]:
    limits = [wait.not_before_minutes, wait.not_after_minutes, wait.adds, wait.is_inside]
    return [wait.panel, wait.coat, wait.opens.value, *limits]


def _damage_body(damage: Damage) -> dict[str, Any]:
    return {
        "number": damage.number,
        "panel": damage.panel,
        "kind": damage.kind,
        "size": damage.size,
        "depth": damage.depth,
        "count": damage.dent_count or damage.chip_count,
        "paint": damage.paint,
        "is_left": damage.left_at is not None,
    }
