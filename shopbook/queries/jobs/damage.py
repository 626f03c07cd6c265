"""The damage of a job, what the gauge read, and the pictures."""

from collections.abc import Iterable

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Damage, GaugeReading, Picture
from shopbook.trade.agreeing.quote_words import Hurt
from shopbook.trade.errors import NotFound


def list_damages(session: Session, job_id: int, *, with_struck: bool = False) -> list[Damage]:
    """The damage of a job by number."""
    return damages_of(session, [job_id], with_struck=with_struck).get(job_id, [])


def damages_of(session: Session, job_ids: Iterable[int], *, with_struck: bool = False) -> dict[int, list[Damage]]:
    """The damage of several jobs by number, by job id; one statement."""
    asked = select(Damage).where(Damage.job_id.in_(list(job_ids))).order_by(Damage.job_id, Damage.number)
    if not with_struck:
        asked = asked.where(Damage.struck_at.is_(None))
    found: dict[int, list[Damage]] = {}
    for damage in session.scalars(asked):
        found.setdefault(damage.job_id, []).append(damage)
    return found


def get_damage(session: Session, damage_id: int) -> Damage:
    """One damage; NotFound when there is none."""
    damage = session.get(Damage, damage_id)
    if damage is None:
        raise NotFound("This damage is not in the book. Go back and look at the job again.")
    return damage


def hurt_of(damage: Damage) -> Hurt:
    """A damage as far as its words go."""
    return Hurt(**{name: getattr(damage, name) for name in Hurt.__slots__})


def last_damage_number(session: Session, job_id: int) -> int:
    """The highest number among a job's damages, removed ones too; zero for none."""
    return session.scalar(select(func.max(Damage.number)).where(Damage.job_id == job_id)) or 0


def list_readings(session: Session, job_id: int) -> list[GaugeReading]:
    """What the gauge read on a car, in order."""
    return list(session.scalars(select(GaugeReading).where(GaugeReading.job_id == job_id).order_by(GaugeReading.id)))


def list_pictures(session: Session, job_id: int, purpose: str | None = None) -> list[Picture]:
    """The pictures of a job that are not removed, oldest first."""
    asked = select(Picture).where(Picture.job_id == job_id, Picture.struck_at.is_(None)).order_by(Picture.id)
    return list(session.scalars(asked.where(Picture.purpose == purpose) if purpose else asked))


def get_picture(session: Session, picture_id: int) -> Picture:
    """One picture; NotFound when there is none or it was removed."""
    picture = session.get(Picture, picture_id)
    if picture is None or picture.struck_at is not None:
        raise NotFound("This picture is not in the book. Go back and look at the job again.")
    return picture
