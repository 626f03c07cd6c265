"""What of a plan stays agreed when an approval was taken back."""

from collections.abc import Collection
from datetime import datetime

from shopbook.models.jobs import Job, Stage
from shopbook.queries.jobs.plans import list_bare_stages
from shopbook.services.act import Act
from shopbook.services.jobs.drafting import settle_panels
from shopbook.services.jobs.history import log_job
from shopbook.trade.floor.readiness import NEEDS_APPROVAL
from shopbook.trade.planning.groups import WHOLE_CAR_GROUP
from shopbook.trade.purposes import JobPurpose


def keep_agreed_only(
    act: Act,
    job: Job,
    taken: Collection[str],
    *,
    left: Collection[str],
    open_keys: Collection[str],
    since: datetime | None,
) -> None:
    """Only stages of the groups `taken` (and of the whole car) stay agreed; none where nothing is approved any more.

    Panels under `left` leave the plan, those under `open_keys` come back into it: nobody declined them now. The job is
    agreed `since` the first approval that still holds; without one a paid job that is in the shop is not ready.
    """
    kept = {*taken, WHOLE_CAR_GROUP} if since else set()
    # Before the panels: what is agreed would not leave the plan.
    for stage in _with_approval(act, job):
        if stage.quote_group_key not in kept:
            stage.agreed_at = None
    settle_panels(act, job, taken={*taken, *open_keys}, left=left)
    for stage in _with_approval(act, job):
        if stage.quote_group_key in taken:
            stage.agreed_at = stage.agreed_at or act.moment
    if job.handed_over_at is None or since is not None:
        job.agreed_at = since
    _take_ready_back(act, job)
    act.session.flush()


def _with_approval(act: Act, job: Job) -> list[Stage]:
    """The stages that are done only once they are approved."""
    return [stage for stage in list_bare_stages(act.session, job.id) if stage.purpose in NEEDS_APPROVAL]


def _take_ready_back(act: Act, job: Job) -> None:
    if job.agreed_at is None and job.purpose == JobPurpose.PAID and job.ready_at is not None:
        job.ready_at = job.told_ready_at = None
        log_job(act, "take_ready_back", job, "Not ready any more: nothing is approved")
