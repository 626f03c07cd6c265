"""What the job card shows of one job, gathered: its stages, mixes, coats, cautions and what each stage waits for."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from shopbook.models.jobs import Job, JobPart, Stage
from shopbook.models.shelf import Material
from shopbook.queries.floor.sprays import last_variant
from shopbook.queries.jobs.cautions import cautions_of
from shopbook.queries.jobs.coats import PanelSign, job_coats
from shopbook.queries.jobs.jobs import get_job
from shopbook.queries.jobs.mixes import PlannedMix, materials_within, planned_mixes, range_warnings
from shopbook.queries.jobs.planning import conditions_of
from shopbook.queries.jobs.plans import readiness_with
from shopbook.queries.jobs.whole import whole_job
from shopbook.queries.shelf.materials import ranges_of
from shopbook.queries.shop.shop_on import ShopOn
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
    cautions: tuple[tuple[CautionText, tuple[int, ...]], ...]
    """Each caution once, with the ids of the stages still to do that it is for."""
    warnings: Mapping[str, tuple[int, ...]]
    """What the sheets of products say against the day, each sentence once, with the ids of its stages."""
    parts: tuple[JobPart, ...]
    """What is waited for."""
    variant: str
    """Of the car's colour, as it was sprayed last; empty where nobody wrote it."""
    panels: int
    """How many panels are damaged."""
    temperature_c: float
    used_minutes: Mapping[int, int]
    """Clocked minutes by stage id."""


def get_card_facts(shop: ShopOn, number: int, now: datetime) -> CardFacts:
    """All that the card of one job shows in today's shop; NotFound when there is no such job."""
    whole = whole_job(shop.session, get_job(shop.session, number))
    job, stages, catalogue = whole.job, whole.plan, shop.catalogue
    materials = materials_within(whole)
    conditions = conditions_of(shop.settings, ranges_of(whole.materials), job.conditions)
    open_stages = [stage for stage in stages if stage.finished_at is None]
    return CardFacts(
        job=job,
        place=shop.place_names.get(job.place_id or 0, ""),
        stages=tuple(stages),
        readiness=readiness_with(job, whole.stages, whole.parts_by_id, now),
        mixes=tuple((stage.name, mix) for stage in open_stages for mix in planned_mixes(stage, materials, catalogue)),
        signs=tuple(job_coats(stages, whole.damages, catalogue, now, job.colour_hex)),
        cautions=_cautions(open_stages, catalogue),
        warnings=_warnings(open_stages, materials, conditions),
        parts=_awaited(whole.standing_parts),
        variant=last_variant(shop.session, (job.vehicle.colour_code if job.vehicle else "") or ""),
        panels=len({damage.panel for damage in whole.damages}),
        used_minutes=whole.used_minutes,
        temperature_c=conditions.temperature_c,
    )


def _awaited(parts: Iterable[JobPart]) -> tuple[JobPart, ...]:
    return tuple(part for part in parts if part.came_at is None and part.sent_back_at is None)


def _cautions(stages: Sequence[Stage], today: Catalogue) -> tuple[tuple[CautionText, tuple[int, ...]], ...]:
    of_each = {stage.id: set(cautions_of([stage], today)) for stage in stages}
    return tuple(
        (text, tuple(key for key, own in of_each.items() if text in own)) for text in cautions_of(stages, today)
    )


def _warnings(
    stages: Sequence[Stage], materials: Mapping[int, Material], conditions: Conditions
) -> dict[str, tuple[int, ...]]:
    found: dict[str, tuple[int, ...]] = {}
    for stage in stages:
        for said in range_warnings(stage, materials, conditions):
            found[said] = (*found.get(said, ()), stage.id)
    return found
