"""A picture that is already on disk is recorded with its job, or removed."""

from shopbook.models.jobs import Picture, PictureStrike
from shopbook.queries.jobs.damage import get_damage, get_picture
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.services.act import Act
from shopbook.services.jobs.history import log_job
from shopbook.trade.car.pictures import KeptPicture, PicturePurpose
from shopbook.trade.errors import RuleBroken


def record_picture(
    act: Act,
    job_id: int,
    kept: KeptPicture,
    damage_id: int | None = None,
    purpose: str = PicturePurpose.DAMAGE,
    caption: str = "",
    quote_id: int | None = None,
) -> Picture:
    """Record a kept picture with its job, or with an extra of it. RuleBroken when the damage is another job's."""
    job = get_job_by_id(act.session, job_id)
    if damage_id is not None and get_damage(act.session, damage_id).job_id != job.id:
        raise RuleBroken("That damage belongs to another job. Choose one of this job.", "damage_id")
    picture = Picture(
        job_id=job.id,
        damage_id=damage_id,
        quote_id=quote_id,
        purpose=PicturePurpose(purpose),
        sha256=kept.sha256,
        thumbnail_sha256=kept.thumbnail_sha256,
        width=kept.width,
        height=kept.height,
        size_bytes=kept.size_bytes,
        caption=caption[:200],
        at=act.moment,
        on=act.day,
        person_id=act.actor.person_id,
    )
    act.session.add(picture)
    act.session.flush()
    log_job(act, "record_picture", job, "Added a photo", subject="picture", subject_id=picture.id)
    return picture


def note_strike(act: Act, picture: Picture, *, is_struck: bool) -> None:
    """One more line on whether the picture is removed: the newest counts."""
    act.session.add(
        PictureStrike(
            picture_id=picture.id, is_struck=is_struck, at=act.moment, on=act.day, person_id=act.actor.person_id
        )
    )
    # What the picture knows of being removed is read anew: the newest line must be in the book by then.
    act.session.flush()
    act.session.expire(picture, ["struck_at"])


def strike_picture(act: Act, picture_id: int) -> Picture:
    """Remove a picture from the pages; its file stays."""
    picture = get_picture(act.session, picture_id)
    note_strike(act, picture, is_struck=True)
    job = get_job_by_id(act.session, picture.job_id)
    log_job(act, "strike_picture", job, "Removed a photo", subject="picture", subject_id=picture.id)
    return picture
