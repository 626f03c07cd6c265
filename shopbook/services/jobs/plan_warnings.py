"""What the plan warns of is accepted by a person, and the log says who."""

from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.services.act import Act
from shopbook.services.jobs.history import log_job
from shopbook.trade.errors import RuleBroken


def accept_warning(act: Act, job_id: int, code: str, sentence: str) -> None:
    """Keep that somebody read this warning and goes on. A warning that reads otherwise later is a new one."""
    job = get_job_by_id(act.session, job_id)
    if not code or not sentence.strip():
        raise RuleBroken("Say which warning.")
    accepted = job.accepted_warnings
    if [code, sentence] in accepted:
        return
    job.accepted_warnings = [*accepted, [code, sentence]]
    log_job(act, "accept_warning", job, f"Accepted: {sentence}")
