"""All of one job for its page: facts, damage in words, the plan with what each stage waits for, coats, warnings."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Damage, GaugeReading, Job, JobPart, Picture, Stage
from shopbook.models.shelf import Material
from shopbook.queries.jobs.cautions import cautions_of
from shopbook.queries.jobs.coats import PanelSign, job_coats
from shopbook.queries.jobs.damage import list_damages, list_pictures, list_readings
from shopbook.queries.jobs.jobs import job_standing
from shopbook.queries.jobs.parts import list_parts
from shopbook.queries.jobs.planning import Planning, planning_of
from shopbook.queries.jobs.plans import (
    JobHours,
    hours_of,
    last_version,
    list_stages,
    plan_facts,
    readiness_of,
    used_minutes_by_stage,
)
from shopbook.queries.jobs.session_fit import session_warnings
from shopbook.queries.shop.book import get_units, list_places
from shopbook.queries.shop.country import country_on
from shopbook.queries.shop.days import day_of
from shopbook.queries.shop.people import list_people
from shopbook.queries.shop.rates import catalogue_on
from shopbook.trade.agreeing.quote_words import Hurt, hurt_words
from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.cautions import CautionText
from shopbook.trade.coating.coats import FilmReading, reading_says
from shopbook.trade.errors import RuleBroken
from shopbook.trade.floor.readiness import Readiness
from shopbook.trade.measures.quantities import format_quantity
from shopbook.trade.measures.units import Kind, Unit, UnitSystem
from shopbook.trade.next_act import PlanFacts
from shopbook.trade.planning.building import USUAL
from shopbook.trade.planning.shapes import DraftPlan, DraftWarning
from shopbook.trade.standing import Standing


@dataclass(frozen=True, slots=True)
class UseLine:
    """One material of a stage in words."""

    use_id: int
    name: str
    amount: str
    mix: str
    reason: str
    is_counted: bool = False

    @property
    def words(self) -> str:
        """Amount and name: "40 g filler", "discs 150 mm, P80 × 2"."""
        name = f"{self.name[:1].lower()}{self.name[1:]}"
        return f"{name} ×\N{NO-BREAK SPACE}{self.amount}" if self.is_counted else f"{self.amount} {name}"


@dataclass(frozen=True, slots=True)
class StageLine:
    """One stage with what it waits for and what was clocked on it."""

    stage: Stage
    readiness: Readiness | None
    used_minutes: int
    by: str
    uses: Sequence[UseLine]
    steps: Sequence[str]
    reasons: Sequence[str]
    mixes: Sequence[Mapping[str, Any]]
    cautions: Sequence[CautionText]

    @property
    def use_words(self) -> str:
        """What is mixed and what is used by the piece, in a line: shop-floor materials are not worth a word."""
        mixed = [f"{mix['total_ml']} ml {str(mix['name']).lower()}" for mix in self.mixes]
        return "; ".join(mixed or [use.words for use in (self.told_uses or self.plain_uses)][:3])

    @property
    def told_uses(self) -> Sequence[UseLine]:
        """What is no part of a mix that is shown by itself, and has a reason of its own: filler, discs, blend base."""
        mixed = {mix["code"] for mix in self.mixes}
        return [use for use in self.uses if use.mix not in mixed and use.reason != USUAL]

    @property
    def plain_uses(self) -> Sequence[UseLine]:
        """The stage's usual materials."""
        return [use for use in self.uses if not use.mix and use.reason == USUAL]


@dataclass(frozen=True, slots=True)
class DamageLine:
    """One damage in words, with its pictures."""

    damage: Damage
    words: str
    pictures: Sequence[Picture]


@dataclass(frozen=True, slots=True)
class Warned:
    """One warning of the plan, and whether somebody accepted it."""

    code: str
    sentence: str
    is_accepted: bool


@dataclass(frozen=True, slots=True)
class JobSheet:
    """All of one job that the jobs area itself knows."""

    job: Job
    standing: Standing
    place: str
    damages: Sequence[DamageLine]
    pictures: Sequence[Picture]
    readings: Sequence[FilmReading]
    done: Sequence[StageLine]
    to_do: Sequence[StageLine]
    struck: Sequence[Stage]
    hours: JobHours
    plan: PlanFacts
    version: int
    signs: Sequence[PanelSign]
    cautions: Sequence[CautionText]
    warnings: Sequence[Warned]
    shared: Sequence[str]
    parts: Sequence[JobPart]
    trouble: str

    @property
    def open_warnings(self) -> Sequence[Warned]:
        """Those that nobody has accepted yet."""
        return [warned for warned in self.warnings if not warned.is_accepted]


def job_sheet(session: Session, job: Job, now: datetime) -> JobSheet:
    """Everything for the page of one job; the number of statements does not depend on the length of its plan."""
    stages = list_stages(session, job.id, with_struck=True)
    shown = [stage for stage in stages if stage.struck_at is None]
    damages, pictures = list_damages(session, job.id), list_pictures(session, job.id)
    planning = planning_of(session, job, now)
    lines = stage_lines(session, job, shown, now, planning.catalogue)
    draft, trouble = _draft(planning)
    hours = hours_of(session, [job.id])[job.id]
    units = get_units(session)
    return JobSheet(
        job=job,
        standing=job_standing(job),
        place=next((place.name for place in list_places(session) if place.id == job.place_id), ""),
        damages=[_damage_line(each, pictures, units) for each in damages],
        pictures=pictures,
        readings=_readings(session, job.id, day_of(session, now)),
        done=[line for line in lines if line.stage.finished_at is not None],
        to_do=[line for line in lines if line.stage.finished_at is None],
        struck=[stage for stage in stages if stage.struck_at is not None],
        hours=hours,
        plan=plan_facts(shown, _readiness(lines), hours, has_damage=bool(damages)),
        version=last_version(session, job.id),
        signs=job_coats(
            shown, damages, planning.catalogue, now, job.vehicle.colour_hex if job.vehicle is not None else ""
        ),
        cautions=cautions_of(shown, catalogue_on(session, day_of(session, now))),
        warnings=_warned(job, [*_still_to_heed(draft, shown), *session_warnings(session, lines_ready(lines), now)]),
        shared=draft.shared if draft else (),
        parts=list_parts(session, job.id),
        trouble=trouble,
    )


def stage_lines(
    session: Session, job: Job, stages: Sequence[Stage], now: datetime, catalogue: Catalogue
) -> list[StageLine]:
    """The stages of one job as a page or a paper shows them; `catalogue` names what the shelf does not have."""
    readiness = readiness_of(session, [job], now)
    used = used_minutes_by_stage(session, job.id)
    people = {person.id: person.name for person in list_people(session, is_everybody=True)}
    names = _material_names(session, stages)
    units = get_units(session)
    today = catalogue_on(session, day_of(session, now))
    return [
        StageLine(
            stage=stage,
            readiness=readiness.get(stage.id),
            used_minutes=used.get(stage.id, 0),
            by=people.get(stage.finished_by_id or 0, ""),
            uses=_use_lines(stage, names, units, catalogue),
            steps=stage.steps,
            reasons=stage.reasons,
            mixes=stage.mixes,
            cautions=cautions_of([stage], today),
        )
        for stage in stages
    ]


def _use_lines(stage: Stage, names: Mapping[int, str], units: UnitSystem, catalogue: Catalogue) -> list[UseLine]:
    found = []
    for use in stage.uses:
        unit = Unit(use.unit)
        amount = format_quantity(use.amount_thousandths, units.shown(unit), locale=units.locale)
        known = catalogue.materials.get(use.role)
        name = names.get(use.material_id or 0) or (known.name if known else use.role.replace("_", " "))
        found.append(UseLine(use.id, name, amount, use.mix, use.reason, unit is Unit.PIECE))
    return found


def _material_names(session: Session, stages: Sequence[Stage]) -> dict[int, str]:
    wanted = {use.material_id for stage in stages for use in stage.uses if use.material_id}
    if not wanted:
        return {}
    rows = session.execute(select(Material.id, Material.name).where(Material.id.in_(wanted)))
    return {key: name for key, name in rows}


def _damage_line(damage: Damage, pictures: Sequence[Picture], units: UnitSystem) -> DamageLine:
    hurt = Hurt(
        kind=damage.kind,
        size=damage.size,
        length_mm=damage.length_mm,
        width_mm=damage.width_mm,
        depth=damage.depth,
        dent_count=damage.dent_count,
        crosses=damage.crosses,
        paint=damage.paint,
    )
    own = [picture for picture in pictures if picture.damage_id == damage.id]
    return DamageLine(damage, hurt_words(hurt, units.shown(Kind.LENGTH), units.locale), own)


def _readings(session: Session, job_id: int, day: date) -> list[FilmReading]:
    """What every reading suggests, the thickest first, so that what is suspect stands on top."""
    country = country_on(session, day)
    found = [_reading(row, country.panel(row.panel)) for row in list_readings(session, job_id)]
    return sorted(found, key=lambda reading: -reading.um)


def _reading(row: GaugeReading, panel: str) -> FilmReading:
    return reading_says(row.film_um, "um", f"{panel}, {row.spot}" if row.spot else panel)


def _draft(planning: Planning) -> tuple[DraftPlan | None, str]:
    """The draft of the day for its warnings; a sentence instead where it cannot be drafted any more."""
    try:
        return planning.draft(), ""
    except RuleBroken as broken:
        return None, broken.sentence


def _readiness(lines: Sequence[StageLine]) -> dict[int, Readiness]:
    return {line.stage.id: line.readiness for line in lines if line.readiness is not None}


def lines_ready(lines: Sequence[StageLine]) -> list[tuple[Stage, Readiness]]:
    """The stages with what they wait for."""
    return [(line.stage, line.readiness) for line in lines if line.readiness is not None]


def _still_to_heed(draft: DraftPlan | None, shown: Sequence[Stage]) -> Iterator[DraftWarning]:
    """The draft's warnings without those whose stages are done; one of the whole is over with the last coat."""
    if draft is None:
        return
    coats = {stage.code for stage in draft.stages if stage.mixes}
    for warning in draft.warnings:
        codes = coats if warning.stage is None else {draft.stages[warning.stage].code}
        meant = [stage for stage in shown if stage.code in codes]
        if not meant or any(stage.finished_at is None for stage in meant):
            yield warning


def _warned(job: Job, warnings: Sequence[DraftWarning]) -> list[Warned]:
    accepted = {tuple(each) for each in job.accepted_warnings if len(each) == 2}
    seen = dict.fromkeys((each.code, each.sentence) for each in warnings)
    return [Warned(code, sentence, (code, sentence) in accepted) for code, sentence in seen]
