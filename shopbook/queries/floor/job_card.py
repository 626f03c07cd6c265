"""What the job card shows of one job, gathered: its stages, mixes, coats, cautions and what each stage waits for."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session

from shopbook.models.jobs import Job, Stage
from shopbook.models.shelf import Material
from shopbook.queries.floor.cars import name_of_place
from shopbook.queries.floor.mixes import PlannedMix, materials_of_uses, planned_mixes, range_frowns
from shopbook.queries.jobs.cautions import cautions_of
from shopbook.queries.jobs.coats import PanelSign, job_coats
from shopbook.queries.jobs.damage import list_damages
from shopbook.queries.jobs.jobs import get_job
from shopbook.queries.jobs.planning import conditions_on
from shopbook.queries.jobs.plans import list_stages, readiness_of, used_minutes_by_stage
from shopbook.queries.shop.days import day_of
from shopbook.queries.shop.rates import catalogue_on
from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.cautions import CautionText
from shopbook.trade.floor.readiness import Readiness
from shopbook.trade.planning.shapes import Conditions


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
    reminders: Mapping[int, tuple[str, ...]]
    """What to mind on a stage, by its id: cautions, and what its products' sheets say against the day."""
    used_minutes: Mapping[int, int]
    """Clocked minutes by stage id."""


def get_card_facts(session: Session, number: int, now: datetime) -> CardFacts:
    """All that the card of one job shows; NotFound when there is no such job."""
    job = get_job(session, number)
    day = day_of(session, now)
    stages = list_stages(session, job.id)
    catalogue = catalogue_on(session, day)
    materials = materials_of_uses(session, stages)
    conditions = conditions_on(session, day, job.conditions)
    open_stages = [stage for stage in stages if stage.finished_at is None]
    return CardFacts(
        job=job,
        place=name_of_place(session, job),
        stages=tuple(stages),
        readiness=readiness_of(session, [job], now),
        mixes=tuple((stage.name, mix) for stage in open_stages for mix in planned_mixes(stage, materials, catalogue)),
        signs=tuple(job_coats(stages, list_damages(session, job.id), catalogue, now, job.colour_hex)),
        cautions=cautions_of(open_stages, catalogue),
        reminders={stage.id: _reminders(stage, catalogue, materials, conditions) for stage in open_stages},
        used_minutes=used_minutes_by_stage(session, job.id),
        temperature_c=conditions.temperature_c,
    )


def _reminders(
    stage: Stage, today: Catalogue, materials: Mapping[int, Material], conditions: Conditions
) -> tuple[str, ...]:
    told = [each.reminder for each in cautions_of([stage], today)]
    return (*told, *range_frowns(stage, materials, conditions))
