"""What a customer told somebody on the floor: wants a call; and that the call was made."""

from shopbook.queries.floor.spoken import CALLED, WANTS_CALL
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.services.act import Act
from shopbook.services.postings import write_log
from shopbook.trade.errors import RuleBroken

LONGEST = 400


def note_wants_call(act: Act, job_id: int, note: str = "") -> None:
    """The customer wants to be called about a job; the desk sees it until somebody called."""
    job = get_job_by_id(act.session, job_id)
    if len(note) > LONGEST:
        raise RuleBroken(f"At most {LONGEST} letters here.", "note")
    words = "Customer wants a call" + (f": {note.strip()}" if note.strip() else "")
    write_log(act, WANTS_CALL, "job", job.id, words, job_id=job.id)


def note_called(act: Act, job_id: int) -> None:
    """Somebody called the customer of a job."""
    job = get_job_by_id(act.session, job_id)
    write_log(act, CALLED, "job", job.id, "Called the customer", job_id=job.id)
