"""Mixes as they were made, and what of a plan they cover."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date

from sqlalchemy import ColumnElement, select
from sqlalchemy.orm import InstrumentedAttribute, Session

from shopbook.models.floor import Mix, MixPart, MixShare, MixTakenBack
from shopbook.models.jobs import Job, Stage


def counts_still(mix_id: ColumnElement[int] | InstrumentedAttribute[int]) -> ColumnElement[bool]:
    """Of a mix's key in a statement: that the mix was not taken back."""
    return mix_id.not_in(select(MixTakenBack.mix_id))


def roles_made(session: Session, stage_ids: Iterable[int]) -> dict[int, set[str]]:
    """Roles that mixes made before have brought to these stages, by stage id; one statement."""
    session.flush()
    lines = session.execute(
        select(MixShare.stage_id, MixPart.role)
        .join(MixPart, MixPart.mix_id == MixShare.mix_id)
        .where(MixShare.stage_id.in_(list(stage_ids)), counts_still(MixShare.mix_id))
    )
    found: dict[int, set[str]] = {}
    for stage_id, role in lines:
        found.setdefault(stage_id, set()).add(role)
    return found


@dataclass(frozen=True, slots=True)
class MixTaken:
    """What one stage took of a mix, in thousandths."""

    job_number: int
    stage_id: int
    amount_thousandths: int


@dataclass(frozen=True, slots=True)
class MadeMix:
    """A mix as it was made, with the jobs and stages that took of it, in thousandths."""

    id: int
    name: str
    total_thousandths: int
    left_thousandths: int
    is_left_kept: bool
    is_assumed: bool
    shares: tuple[MixTaken, ...]


def list_mixes(
    session: Session,
    *,
    on: date | None = None,
    person_id: int | None = None,
    job_id: int | None = None,
    stage_id: int | None = None,
) -> list[MadeMix]:
    """Mixes as they were made, oldest first: of a day, a person, a job or a stage; one statement."""
    session.flush()
    asked = (
        select(*_MADE, Job.number, MixShare.stage_id, MixShare.amount_thousandths)
        .outerjoin(MixShare, MixShare.mix_id == Mix.id)
        .outerjoin(Stage, Stage.id == MixShare.stage_id)
        .outerjoin(Job, Job.id == Stage.job_id)
        .where(counts_still(Mix.id))
        .order_by(Mix.id, MixShare.id)
    )
    if on is not None:
        asked = asked.where(Mix.on == on)
    if person_id is not None:
        asked = asked.where(Mix.person_id == person_id)
    if stage_id is not None:
        asked = asked.where(Mix.id.in_(select(MixShare.mix_id).where(MixShare.stage_id == stage_id)))
    if job_id is not None:
        own = select(MixShare.mix_id).join(Stage, Stage.id == MixShare.stage_id).where(Stage.job_id == job_id)
        asked = asked.where(Mix.id.in_(own))
    made: dict[int, MadeMix] = {}
    shares: dict[int, list[MixTaken]] = {}
    for key, name, total, left, is_left_kept, is_assumed, number, stage, amount in session.execute(asked):
        made.setdefault(key, MadeMix(key, name, total, left, is_left_kept, is_assumed, ()))
        if stage is not None:
            shares.setdefault(key, []).append(MixTaken(number, stage, amount))
    return [replace(mix, shares=tuple(shares.get(mix.id, ()))) for mix in made.values()]


_MADE = (Mix.id, Mix.name, Mix.total_thousandths, Mix.left_thousandths, Mix.is_left_kept, Mix.is_assumed)
