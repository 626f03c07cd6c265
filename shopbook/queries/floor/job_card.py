"""What the job card shows of one job, gathered: its stages, mixes, coats, cautions and what each stage waits for."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session

from shopbook.models.jobs import Job, Stage
from shopbook.queries.floor.mixes import PlannedMix, materials_of_uses, planned_mixes
from shopbook.queries.floor.stage import cautions_of
from shopbook.queries.jobs.catalogue import catalogue_on
from shopbook.queries.jobs.coats import PanelSign, job_coats
from shopbook.queries.jobs.damage import list_damages
from shopbook.queries.jobs.jobs import get_job
from shopbook.queries.jobs.planning import conditions_on
from shopbook.queries.jobs.plans import list_stages, readiness_of, used_minutes_by_stage
from shopbook.queries.shop.book import list_places
from shopbook.queries.shop.days import day_of
from shopbook.trade.cautions import CautionText, in_order
from shopbook.trade.readiness import Readiness


@dataclass(frozen=True, slots=True)
class CardFacts:
    """A job as its card takes it."""

    job: Job
    place: str
    stages: tuple[Stage, ...]
    readiness: Mapping[int, Readiness]
    mixes: tuple[tuple[str, PlannedMix], ...]
    """(stage, mix) in the order of the plan."""
    signs: tuple[PanelSign, ...]
    cautions: tuple[CautionText, ...]
    temperature_c: float
    used_minutes: Mapping[int, int]
    """Clocked minutes by stage id."""


def get_card_facts(session: Session, number: int, now: datetime) -> CardFacts:
    """All that the card of one job shows; NotFound when there is no such job."""
    job = get_job(session, number)
    day = day_of(session, now)
    stages = list_stages(session, job.id)
    catalogue = catalogue_on(session, day)
    materials = materials_of_uses(session, stages)
    colour = (job.vehicle.colour_hex if job.vehicle else "") or ""
    open_stages = [stage for stage in stages if stage.finished_at is None]
    return CardFacts(
        job=job,
        place=next((place.name for place in list_places(session) if place.id == job.place_id), ""),
        stages=tuple(stages),
        readiness=readiness_of(session, [job], now),
        mixes=tuple((stage.name, mix) for stage in open_stages for mix in planned_mixes(stage, materials, catalogue)),
        signs=tuple(job_coats(stages, list_damages(session, job.id), catalogue, now, colour)),
        cautions=in_order(text.caution for stage in open_stages for text in cautions_of(stage)),
        used_minutes=used_minutes_by_stage(session, job.id),
        temperature_c=conditions_on(session, day, json.loads(job.conditions or "{}")).temperature_c,
    )
