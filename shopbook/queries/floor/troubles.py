"""Troubles as they were reported, and what is put into a plan to mend one."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.floor import Trouble
from shopbook.models.jobs import Stage
from shopbook.queries.jobs.plans import list_stages
from shopbook.trade.catalogue.stage_codes import StageCode
from shopbook.trade.trouble.advice import stages_for
from shopbook.trade.trouble.kinds import Defect, FoundIn


def list_troubles(session: Session, job_id: int) -> list[Trouble]:
    """The troubles of one job, oldest first."""
    session.flush()
    return list(session.scalars(select(Trouble).where(Trouble.job_id == job_id).order_by(Trouble.id)))


@dataclass(frozen=True, slots=True)
class Mending:
    """What mends a trouble: codes of stages in order, and the stage that they stand behind."""

    behind: Stage
    codes: tuple[str, ...]


def find_mending(
    session: Session,
    stage: Stage,
    defect: Defect,
    found: FoundIn,
    *,
    is_returned: bool = False,
    panels: Collection[str] = (),
) -> Mending:
    """How a trouble on a stage is mended; RuleBroken where it cannot be in that coat.

    Trouble in the clear is mended behind the unmasking, where that is still to come. The last stages are left out
    where the plan still has them for the same panels: what is to be polished, or covered with clear, is so once.
    """
    codes = stages_for(defect, found, returned=is_returned)
    wanted = set(panels) or set(stage.panel_names)
    there = list_stages(session, stage.job_id)
    to_come = [other for other in there if _is_to_come(other, stage) and wanted <= set(other.panel_names)]
    unmasked = [other for other in to_come if found is FoundIn.CLEAR and other.code == StageCode.UNMASK]
    behind = [stage, *unmasked][-1]
    return Mending(behind, _not_left(codes, {other.code for other in to_come if other.position > behind.position}))


def _is_to_come(other: Stage, stage: Stage) -> bool:
    return other.position > stage.position and other.begun_at is None


def _not_left(codes: Sequence[str], left: Collection[str]) -> tuple[str, ...]:
    """The codes without the last ones that the plan still has; a session to come covers base with its clear too."""
    covered = {*left, StageCode.CLEAR_OVER} if StageCode.BASE_CLEAR in left else left
    kept = list(codes)
    while len(kept) > 1 and kept[-1] in covered:
        kept.pop()
    return tuple(kept)
