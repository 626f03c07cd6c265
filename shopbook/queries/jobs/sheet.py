"""Everything about one job for its page: facts, damage in words, the plan and what it waits for, coats, warnings."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from shopbook.models.jobs import Damage, GaugeReading, Job, JobPart, Picture, Stage
from shopbook.models.shelf import Material
from shopbook.queries.jobs.cautions import cautions_of
from shopbook.queries.jobs.coats import PanelSign, job_coats
from shopbook.queries.jobs.colours import colours_to_buy
from shopbook.queries.jobs.damage import hurt_of, list_pictures, list_readings
from shopbook.queries.jobs.jobs import job_standing
from shopbook.queries.jobs.mixes import PlannedMix, materials_of_uses, materials_within, planned_mixes, use_name
from shopbook.queries.jobs.planning import Planning, plan_shop, planning_with, see
from shopbook.queries.jobs.plans import (
    JobHours,
    last_version,
    layer_of,
    plan_facts,
    readiness_of,
    readiness_with,
    sum_hours,
    used_minutes_by_stage,
)
from shopbook.queries.jobs.session_fit import session_warnings
from shopbook.queries.jobs.whole import WholeJob
from shopbook.queries.shelf.materials import ranges_of
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.agreeing.quote_words import hurt_words
from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.cautions import CautionText
from shopbook.trade.coating.coats import FilmReading, reading_says
from shopbook.trade.errors import RuleBroken
from shopbook.trade.floor.readiness import Readiness
from shopbook.trade.letters import lower_first
from shopbook.trade.measures.quantities import format_quantity
from shopbook.trade.measures.units import Kind, Unit, UnitSystem
from shopbook.trade.next_act import PlanFacts
from shopbook.trade.planning.building import USUAL
from shopbook.trade.planning.colour_need import ColourNeed
from shopbook.trade.planning.ordering import order_warnings
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
        name = lower_first(self.name)
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
    mixes: Sequence[PlannedMix]
    cautions: Sequence[CautionText]

    @property
    def use_words(self) -> str:
        """What is mixed and what is used by the piece, in a line; shop supplies are left out."""
        mixed = [f"{mix.total_ml} ml {mix.name.lower()}" for mix in self.mixes if not mix.is_by_weight]
        return "; ".join(mixed or [use.words for use in (self.told_uses or self.plain_uses)][:3])

    @property
    def told_uses(self) -> Sequence[UseLine]:
        """Materials outside the mixes shown by themselves, with a reason of their own: filler, discs, blend base."""
        mixed = {mix.code for mix in self.mixes if not mix.is_by_weight}
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
    stage_id: int = 0
    """The stage whose place it is about; zero for any other."""


@dataclass(frozen=True, slots=True)
class JobSheet:
    """Everything about one job that the jobs area itself knows."""

    job: Job
    standing: Standing
    place: str
    damages: Sequence[DamageLine]
    pictures: Sequence[Picture]
    readings: Sequence[FilmReading]
    lines: Sequence[StageLine]
    """Of every stage of the plan, in order."""
    struck: Sequence[Stage]
    hours: JobHours
    plan: PlanFacts
    version: int
    signs: Sequence[PanelSign]
    cautions: Sequence[CautionText]
    warnings: Sequence[Warned]
    shared: Sequence[str]
    parts: Sequence[JobPart]
    colours: Sequence[ColourNeed]
    """What of colour is still to buy for the car."""
    trouble: str

    @property
    def done(self) -> Sequence[StageLine]:
        """What is finished."""
        return [line for line in self.lines if line.stage.finished_at is not None]

    @property
    def to_do(self) -> Sequence[StageLine]:
        """What is not."""
        return [line for line in self.lines if line.stage.finished_at is None]

    @property
    def open_warnings(self) -> Sequence[Warned]:
        """Those that nobody has accepted yet."""
        return [warned for warned in self.warnings if not warned.is_accepted]


def sheet_of(whole: WholeJob, shop: ShopOn, now: datetime) -> JobSheet:
    """The same of a job that is already read, in the shop on the day of `now`."""
    job, shown = whole.job, whole.plan
    pictures, ranges = list_pictures(shop.session, job.id), ranges_of(whole.materials)
    readings = list_readings(shop.session, job.id)
    seen = see(shop, job, readings, ranges)
    planning = planning_with(plan_shop(shop, job), job, job.vehicle, whole.damages, seen)
    readiness = readiness_with(job, whole.stages, whole.parts_by_id, now)
    facts = StageFacts(shop, planning.catalogue, readiness, whole.used_minutes, materials_within(whole))
    lines = [stage_line(stage, facts) for stage in shown]
    draft, trouble = _draft(planning)
    heeded = _still_to_heed(draft, shown) if draft else ()
    hours = sum_hours(shown, whole.used_minutes)
    return JobSheet(
        job=job,
        standing=job_standing(job),
        place=shop.place_names.get(job.place_id or 0, ""),
        damages=[_damage_line(each, pictures, shop) for each in whole.damages],
        pictures=pictures,
        readings=_readings(shop, readings),
        lines=lines,
        struck=[stage for stage in whole.stages if stage.struck_at is not None],
        hours=hours,
        plan=plan_facts(shown, readiness, hours, has_damage=bool(whole.damages)),
        version=last_version(shop.session, job.id),
        signs=job_coats(shown, whole.damages, planning.catalogue, now, job.colour_hex),
        cautions=cautions_of(shown, shop.catalogue),
        warnings=[
            *_warned(job, [*heeded, *session_warnings(shop, lines_ready(lines), now)]),
            *_order_warned(job, shown, shop),
        ],
        shared=draft.shared if draft else (),
        parts=whole.standing_parts,
        colours=colours_to_buy(whole, shop.catalogue),
        trouble=trouble,
    )


@dataclass(frozen=True, slots=True)
class StageFacts:
    """What a stage's line is made with: `catalogue` names what the shelf does not have, `materials` is what it has, by
    the use's id."""

    shop: ShopOn
    catalogue: Catalogue
    readiness: Mapping[int, Readiness]
    used_minutes: Mapping[int, int]
    materials: Mapping[int, Material]


def stage_line_of(shop: ShopOn, job: Job, stage: Stage, now: datetime) -> StageLine:
    """One stage of a job (uses loaded) as a page shows it, in today's shop."""
    session = shop.session
    materials = materials_of_uses(session, [stage])
    readiness, used = readiness_of(session, [job], now), used_minutes_by_stage(session, job.id)
    return stage_line(stage, StageFacts(shop, plan_shop(shop, job).catalogue, readiness, used, materials))


def stage_line(stage: Stage, facts: StageFacts) -> StageLine:
    """One stage (uses loaded) of what is read already."""
    return StageLine(
        stage=stage,
        readiness=facts.readiness.get(stage.id),
        used_minutes=facts.used_minutes.get(stage.id, 0),
        by=facts.shop.person_names.get(stage.finished_by_id or 0, ""),
        uses=_use_lines(stage, facts.materials, facts.shop.units, facts.catalogue),
        steps=stage.steps,
        reasons=stage.reasons,
        mixes=planned_mixes(stage, facts.materials, facts.catalogue),
        cautions=cautions_of([stage], facts.shop.catalogue),
    )


def _use_lines(
    stage: Stage, materials: Mapping[int, Material], units: UnitSystem, catalogue: Catalogue
) -> list[UseLine]:
    found = []
    for use in stage.uses:
        unit = Unit(use.unit)
        amount = format_quantity(use.amount_thousandths, units.shown(unit), locale=units.locale)
        name = use_name(use, materials, catalogue)
        found.append(UseLine(use.id, name, amount, use.mix, use.reason, unit is Unit.PIECE))
    return found


def _damage_line(damage: Damage, pictures: Sequence[Picture], shop: ShopOn) -> DamageLine:
    own = [picture for picture in pictures if picture.damage_id == damage.id]
    words = hurt_words(hurt_of(damage), shop.country.say, shop.units.shown(Kind.LENGTH), shop.units.locale)
    return DamageLine(damage, words, own)


def _readings(shop: ShopOn, readings: Sequence[GaugeReading]) -> list[FilmReading]:
    """What every reading suggests, the thickest first, so that suspect ones come first."""
    found = [_reading(row, shop.country.panel(row.panel)) for row in readings]
    return sorted(found, key=lambda reading: -reading.um)


def _reading(row: GaugeReading, panel: str) -> FilmReading:
    return reading_says(row.film_um, "um", f"{panel}, {row.spot}" if row.spot else panel)


def _draft(planning: Planning) -> tuple[DraftPlan | None, str]:
    """The draft of the day for its warnings; a sentence instead where it cannot be drafted any more."""
    try:
        return planning.draft(), ""
    except RuleBroken as broken:
        return None, broken.sentence


def lines_ready(lines: Sequence[StageLine]) -> list[tuple[Stage, Readiness]]:
    """The stages with what they wait for."""
    return [(line.stage, line.readiness) for line in lines if line.readiness is not None]


def _still_to_heed(draft: DraftPlan, shown: Sequence[Stage]) -> Iterator[DraftWarning]:
    """The draft's warnings without those whose stages are done; one about the whole plan ends with the last coat."""
    coats = {stage.code for stage in draft.stages if stage.mixes}
    for warning in draft.warnings:
        codes = coats if warning.stage is None else {draft.stages[warning.stage].code}
        meant = [stage for stage in shown if stage.code in codes]
        if not meant or any(stage.finished_at is None for stage in meant):
            yield warning


def _order_warned(job: Job, shown: Sequence[Stage], shop: ShopOn) -> list[Warned]:
    """What is wrong with the order of the stages, each beside the one that stands too early."""
    found = order_warnings([(layer_of(stage), stage.name) for stage in shown])
    said = [replace(each, sentence=shop.country.say(each.sentence)) for each in found]
    return [replace(warned, stage_id=each.stage or 0) for each in said for warned in _warned(job, [each])]


def _warned(job: Job, warnings: Sequence[DraftWarning]) -> list[Warned]:
    accepted = {tuple(each) for each in job.accepted_warnings if len(each) == 2}
    seen = dict.fromkeys((each.code, each.sentence) for each in warnings)
    return [Warned(code, sentence, (code, sentence) in accepted) for code, sentence in seen]
