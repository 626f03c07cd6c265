"""What was removed comes back into the job as it stands now: damage, parts, photos; stages by `plans.py`."""

from sqlalchemy.orm import Session

from shopbook.models.jobs import Damage, Job, JobPart, Picture
from shopbook.queries.jobs.damage import get_damage
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.jobs.parts import get_part
from shopbook.services.act import Act
from shopbook.services.jobs.doing import refuse_over
from shopbook.services.jobs.drafting import follow_damage
from shopbook.services.jobs.history import log_job
from shopbook.services.jobs.pictures import note_strike
from shopbook.trade.errors import NotFound


def restore_damage(act: Act, damage_id: int) -> Damage:
    """Restore a removed damage; the plan follows it, as extra work where it is approved already."""
    damage = get_damage(act.session, damage_id)
    job = _open_job(act.session, damage.job_id)
    if damage.struck_at is not None:
        damage.struck_at = None
        log_job(act, "restore_damage", job, f"Restored damage {damage.number}")
        # The plan is drafted from what the book holds.
        act.session.flush()
        follow_damage(act, job.id)
    return damage


def restore_part(act: Act, part_id: int) -> JobPart:
    """Restore a removed part as it was: ordered or not, at its price."""
    part = get_part(act.session, part_id)
    job = _open_job(act.session, part.job_id)
    if part.struck_at is not None:
        part.struck_at = None
        log_job(act, "restore_part", job, f"Restored {part.name}", subject="job_part", subject_id=part.id)
    return part


def restore_picture(act: Act, picture_id: int) -> Picture:
    """Show a removed photo again."""
    picture = act.session.get(Picture, picture_id)
    if picture is None:
        raise NotFound("There is no such photo in the book.")
    if picture.struck_at is not None:
        note_strike(act, picture, is_struck=False)
        job = get_job_by_id(act.session, picture.job_id)
        log_job(act, "restore_picture", job, "Restored a photo", subject="picture", subject_id=picture.id)
    return picture


def _open_job(session: Session, job_id: int) -> Job:
    job = get_job_by_id(session, job_id)
    refuse_over(job)
    return job
