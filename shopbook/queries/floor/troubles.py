"""Troubles as they were reported, and what is put into a plan to mend one."""

from collections.abc import Collection

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.floor import Trouble
from shopbook.models.jobs import Stage
from shopbook.queries.jobs.plans import list_stages
from shopbook.trade.trouble.advice import stages_for
from shopbook.trade.trouble.kinds import Defect, FoundIn


def list_troubles(session: Session, job_id: int) -> list[Trouble]:
    """The troubles of one job, oldest first."""
    session.flush()
    return list(session.scalars(select(Trouble).where(Trouble.job_id == job_id).order_by(Trouble.id)))


def codes_to_mend(
    session: Session,
    stage: Stage,
    defect: Defect,
    found: FoundIn,
    *,
    is_returned: bool = False,
    panels: Collection[str] = (),
) -> tuple[str, ...]:
    """Codes of the stages that mend a trouble on a stage, in order; RuleBroken where it cannot be in that coat.

    The last of them are left out where the plan still has them for the same panels: what is still to be unmasked and
    polished is unmasked and polished once.
    """
    codes = list(stages_for(defect, found, returned=is_returned))
    wanted = set(panels) or {each.panel for each in stage.panels}
    to_come = {
        other.code
        for other in list_stages(session, stage.job_id)
        if other.position > stage.position
        and other.begun_at is None
        and wanted <= {each.panel for each in other.panels}
    }
    while len(codes) > 1 and codes[-1] in to_come:
        codes.pop()
    return tuple(codes)
