"""Somebody has seen that a coat is dry: it stands on top of the floor's list until then."""

from shopbook.models.jobs import Stage
from shopbook.queries.jobs.plans import get_bare_stages
from shopbook.services.act import Act
from shopbook.services.postings import write_log
from shopbook.trade.errors import RuleBroken


def see_dry(act: Act, stage_id: int) -> Stage:
    """Every wait of this stage's coats that has ended by now was seen; what ends later stands on top anew.

    RuleBroken for a stage that is not done: nothing of it dries.
    """
    stage = get_bare_stages(act.session, [stage_id])[0]
    if stage.finished_at is None:
        raise RuleBroken("This stage is open again, so nothing of it is dry.")
    stage.dry_seen_at = act.moment
    write_log(act, "see_dry", "stage", stage.id, f"Seen that {stage.name} is dry", job_id=stage.job_id)
    act.session.flush()
    return stage
