"""What was done of jobs, as far as it bears on their bills: minutes by skill, and work without approval."""

from collections import defaultdict
from collections.abc import Sequence
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.floor import ClockShare
from shopbook.models.jobs import Stage
from shopbook.trade.purposes import StagePurpose


def list_timed_stages(session: Session, ids: list[int]) -> tuple[dict[int, list[Any]], dict[int, int]]:
    """Stages by job id, removed ones among them, and the minutes clocked by stage id."""
    sums = session.execute(
        select(ClockShare.stage_id, func.sum(ClockShare.minutes))
        .where(ClockShare.job_id.in_(ids))
        .group_by(ClockShare.stage_id)
    )
    used = {stage_id: int(minutes) for stage_id, minutes in sums}
    found: dict[int, list[Any]] = defaultdict(list)
    asked = select(
        Stage.id, Stage.job_id, Stage.name, Stage.skill, Stage.purpose, Stage.quote_group_key, Stage.agreed_at
    ).add_columns(Stage.finished_at, Stage.struck_at)
    for stage in session.execute(asked.where(Stage.job_id.in_(ids)).order_by(Stage.position)):
        found[stage.job_id].append(stage)
    return found, used


def done_minutes(stages: Sequence[tuple[Any, int]]) -> dict[str, int]:
    """Clocked minutes of the plan by skill, of stages with theirs, where every approved stage of that skill is done."""
    sums: dict[str, int] = defaultdict(int)
    unfinished = set()
    for stage, minutes in stages:
        if stage.purpose == StagePurpose.PLAN and stage.agreed_at is not None:
            sums[stage.skill] += minutes
            if stage.finished_at is None and stage.struck_at is None:
                unfinished.add(stage.skill)
    return {skill: minutes for skill, minutes in sums.items() if skill not in unfinished and minutes > 0}


def not_agreed(stages: Sequence[tuple[Any, int]]) -> list[tuple[str, int]]:
    """Work of the job that was done without approval: the stage and its minutes."""
    return [
        (stage.name, minutes)
        for stage, minutes in stages
        if stage.purpose in {StagePurpose.PLAN, StagePurpose.EXTRA} and stage.agreed_at is None and minutes > 0
    ]
