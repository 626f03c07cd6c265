"""One stage as its page shows it: car, coats, who works on it, mixes, cautions, steps, the last spraying."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.floor import ColourCard, RunningClock, Trouble
from shopbook.models.jobs import Job, Stage
from shopbook.models.shelf import Material
from shopbook.queries.floor.at_work import FloorNow, floor_now
from shopbook.queries.floor.cars import car_line
from shopbook.queries.floor.clocks import find_clock_of
from shopbook.queries.floor.colour_cards import list_cards_in
from shopbook.queries.floor.entries import StageTime, time_by_stage
from shopbook.queries.floor.mixes import MadeMix, list_mixes, roles_made
from shopbook.queries.floor.sprays import list_colour_records
from shopbook.queries.jobs.cautions import cautions_of
from shopbook.queries.jobs.coats import PanelSign, job_coats
from shopbook.queries.jobs.damage import list_damages
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.jobs.mixes import (
    PlannedMix,
    PlannedPiece,
    materials_of_uses,
    planned_mixes,
    planned_pieces,
    range_warnings,
)
from shopbook.queries.jobs.planning import conditions_of
from shopbook.queries.jobs.plans import get_stage, readiness_among, stages_of, without_struck
from shopbook.queries.shelf.lots import LiveLot, next_lots
from shopbook.queries.shelf.materials import list_ranges
from shopbook.queries.shop.shop_on import shop_at
from shopbook.trade.air.spray_record import Spraying
from shopbook.trade.catalogue.stage_codes import StageCode
from shopbook.trade.cautions import CautionText
from shopbook.trade.coating.paints import BASES
from shopbook.trade.floor.readiness import Readiness
from shopbook.trade.permissions import Actor
from shopbook.trade.planning.spraying import PAINTS


@dataclass(frozen=True, slots=True)
class StageView:
    """All that a stage's page shows; `since_at` is when the person's own clock began, None when it does not stand here.

    `with_others` are further stages (id, job number, name) under the same clock; `used_minutes` what is in the ledger,
    the running clock not counted; `shuts_at` the moment by which the next coat must be on.
    """

    stage: Stage
    job: Job
    car: str
    place: str
    hex: str
    signs: tuple[PanelSign, ...]
    readiness: Readiness | None
    since_at: datetime | None
    with_others: tuple[tuple[int, int, str], ...]
    here_too: tuple[str, ...]
    times: tuple[StageTime, ...]
    used_minutes: int
    mixes: tuple[PlannedMix, ...]
    pieces: tuple[PlannedPiece, ...]
    made: tuple[MadeMix, ...]
    cautions: tuple[CautionText, ...]
    steps: tuple[str, ...]
    waits_inside: tuple[tuple[str, int], ...]
    """(reason, minutes) of each wait within the stage."""
    temperature_c: float
    warnings: tuple[str, ...]
    """What the data sheets of its products say against the day."""
    cards: tuple[ColourCard, ...]
    """The spray-out cards of the car's colour, any car's, on a stage that sprays colour or checks it."""
    last_sprayed: tuple[Spraying, ...]
    troubles: tuple[Trouble, ...]
    lots: tuple[LiveLot, ...] = ()
    """The lots that its mixes are taken from; none once they are mixed."""

    @property
    def shuts_at(self) -> datetime | None:
        """When the window before this stage closes, if one is open."""
        return self.readiness.shuts_at if self.readiness else None


def get_stage_view(
    session: Session, stage_id: int, actor: Actor, now: datetime, floor: FloorNow | None = None
) -> StageView:
    """One stage for its page; NotFound when there is none.

    `floor` are the clocks and waits of that moment where they are read already.
    """
    floor = floor or floor_now(shop_at(session, now), now)
    shop, catalogue = floor.shop, floor.shop.catalogue
    stage = get_stage(session, stage_id)
    job = get_job_by_id(session, stage.job_id)
    planned = stages_of(session, [job.id], with_struck=True)
    stages = without_struck(planned)[job.id]
    signs = job_coats(stages, list_damages(session, job.id), catalogue, now, job.colour_hex)
    mine = find_clock_of(actor, floor.clocks_on(stage.id))
    times = time_by_stage(session, [job.id]).get(stage.id, [])
    materials = materials_of_uses(session, [stage])
    made_roles = roles_made(session, [stage.id]).get(stage.id, set())
    cards = _colour_cards(session, job, stage)
    day = conditions_of(shop.settings, list_ranges(session), job.conditions)
    return StageView(
        stage=stage,
        job=job,
        car=car_line(job),
        place=shop.place_names.get(job.place_id or 0, ""),
        hex=job.colour_hex,
        signs=tuple(sign for sign in signs if not stage.panels or sign.panel in stage.panel_names),
        readiness=readiness_among(session, {job.id: job}, planned, now).get(stage.id),
        since_at=mine.started_at if mine else None,
        with_others=_with_others(session, mine, stage.id),
        here_too=_here_too(floor, stage.id, actor),
        times=tuple(times),
        used_minutes=sum(each.minutes for each in times),
        mixes=tuple(planned_mixes(stage, materials, catalogue, made_roles)),
        pieces=tuple(planned_pieces(stage, materials, catalogue)),
        made=tuple(list_mixes(session, stage_id=stage.id)),
        cautions=cautions_of([stage], catalogue),
        steps=tuple(stage.steps),
        waits_inside=tuple((each.reason, each.not_before_minutes) for each in stage.inside_waits),
        temperature_c=day.temperature_c,
        warnings=range_warnings(stage, materials, day),
        cards=tuple(cards),
        last_sprayed=tuple(_last_sprayed(session, job, stage, cards)),
        troubles=tuple(session.scalars(select(Trouble).where(Trouble.stage_id == stage.id).order_by(Trouble.id))),
        lots=tuple(_lots(session, stage, materials, made_roles, shop.day)),
    )


def lots_of_stage(session: Session, stage: Stage, day: date) -> list[LiveLot]:
    """The lots that the mixes of a stage will be taken from, the next of each material; none once they are mixed."""
    made = roles_made(session, [stage.id]).get(stage.id, set())
    return _lots(session, stage, materials_of_uses(session, [stage]), made, day)


def _lots(
    session: Session, stage: Stage, materials: Mapping[int, Material], made: set[str], day: date
) -> list[LiveLot]:
    if stage.finished_at is not None or stage.struck_at is not None:
        return []
    wanted = {use.id for use in stage.uses if use.mix and use.role not in made and use.amount_thousandths}
    return next_lots(session, list({one.id: one for key, one in materials.items() if key in wanted}.values()), day)


def _with_others(session: Session, clock: RunningClock | None, stage_id: int) -> tuple[tuple[int, int, str], ...]:
    keys = [key for key in clock.stage_ids if key != stage_id] if clock else []
    if not keys:
        return ()
    lines = session.execute(
        select(Stage.id, Job.number, Stage.name).join(Job, Job.id == Stage.job_id).where(Stage.id.in_(keys))
    )
    return tuple((key, number, name) for key, number, name in lines)


def _here_too(floor: FloorNow, stage_id: int, actor: Actor) -> tuple[str, ...]:
    there = {clock.person_id for clock in floor.clocks_on(stage_id)} - {actor.person_id}
    return tuple(sorted(floor.shop.person_names[each] for each in there))


def _colour_cards(session: Session, job: Job, stage: Stage) -> list[ColourCard]:
    is_colour = stage.code == StageCode.COLOUR or any(PAINTS.get(each["code"]) in BASES for each in stage.mixes)
    return list_cards_in(session, job.vehicle.colour_code) if is_colour and job.vehicle else []


def _last_sprayed(session: Session, job: Job, stage: Stage, cards: Sequence[ColourCard]) -> list[Spraying]:
    """The newest record of the car's colour for each product that this stage sprays."""
    code = (job.vehicle.colour_code if job.vehicle else "") or ""
    wanted = {PAINTS.get(each["code"]) for each in stage.mixes}
    found: dict[str, Spraying] = {}
    for record in list_colour_records(session, code, cards=cards):
        if record.paint in wanted:
            found.setdefault(record.paint, record)
    return list(found.values())


def next_ready_at(view: StageView) -> datetime | None:
    """When what follows may begin if this stage were done when it is planned to be; None where nothing waits."""
    return ready_after(view.stage, view.since_at, view.used_minutes)


def ready_after(stage: Stage, since_at: datetime | None, used_minutes: int) -> datetime | None:
    """The same of a stage that a clock runs on since then; `used_minutes` went into it before."""
    after = [each.not_before_minutes for each in stage.coat_waits if not each.is_inside]
    if since_at is None or not after:
        return None
    left = max(stage.planned_minutes - used_minutes, 0)
    return since_at + timedelta(minutes=left + min(after))


@dataclass(frozen=True, slots=True)
class DoneStage:
    """A stage that somebody finished, and when."""

    stage_id: int
    number: int
    name: str
    finished_at: datetime


def list_done(session: Session, person_id: int | None, since_at: datetime, job_ids: Sequence[int]) -> list[DoneStage]:
    """What a person has finished on these jobs since then, the newest first: a wrong press is found there again.

    One statement.
    """
    lines = session.execute(
        select(Stage.id, Job.number, Stage.name, Stage.finished_at)
        .join(Job, Job.id == Stage.job_id)
        .where(Stage.job_id.in_(job_ids), Stage.finished_by_id == person_id, Stage.finished_at >= since_at)
        .order_by(Stage.finished_at.desc(), Stage.id.desc())
    )
    return [DoneStage(key, number, name, at) for key, number, name, at in lines if at is not None]
