"""The rows of the technician's list: each open stage with what a person needs to know of it and of its car."""

from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass
from datetime import date, datetime

from shopbook.models.jobs import Stage
from shopbook.queries.floor.at_work import FloorNow
from shopbook.queries.floor.cars import car_line
from shopbook.queries.floor.clocks import find_clock_of
from shopbook.queries.floor.stage import ready_after
from shopbook.queries.floor.windows import RunningWait
from shopbook.queries.jobs.coats import PanelSign, job_coats
from shopbook.queries.jobs.mixes import pourings_of
from shopbook.queries.jobs.plans import readiness_with
from shopbook.queries.jobs.whole import WholeJob
from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.coating.mixing import say_ml
from shopbook.trade.floor.readiness import Hold, Readiness
from shopbook.trade.permissions import Actor
from shopbook.trade.settings import SettingName


@dataclass(frozen=True, slots=True)
class WorkRow:
    """One stage as the list shows it.

    `sign` is the first of its panels; `uses` what it is done with, in a few words; `others` who works on it now and
    `begun_by` who did before; `wait` the time after what came before it.
    """

    stage_id: int
    job_id: int
    number: int
    name: str
    code: str
    skill: str
    purpose: str
    planned_minutes: int
    used_minutes: int
    panels: tuple[str, ...]
    car: str
    place: str
    key_number: str
    hex: str
    sign: PanelSign | None
    uses: str
    promise_on: date | None
    promise_half: str
    drop_off_on: date | None
    drop_off_half: str
    readiness: Readiness
    wait: RunningWait | None = None
    others: tuple[str, ...] = ()
    begun_by: str = ""
    is_refused: bool = False
    """The shop is strict and the approval is missing."""
    is_next: bool = False
    """All that comes before it was begun."""
    next_at: datetime | None = None
    """On the person's own clock: when what follows may begin if this is done as planned; None where nothing dries."""

    @property
    def is_here(self) -> bool:
        """Whether the car has come."""
        return Hold.NOT_HERE not in self.readiness.holds


def work_rows(floor: FloorNow, wholes: Mapping[int, WholeJob], actor: Actor) -> list[WorkRow]:
    """Every stage of these jobs that is not done, in the order of the jobs, then of their plans."""
    shop = floor.shop
    mine = find_clock_of(actor, floor.clocks)
    frame = _Frame(
        catalogue=shop.catalogue,
        places=shop.place_names,
        names=shop.person_names,
        on_clock=_on_clock(floor, actor),
        waits=floor.waits,
        is_strict=bool(shop.settings[SettingName.STRICT_APPROVAL]),
        now=floor.moment,
        mine=frozenset(mine.stage_ids if mine else ()),
        mine_since_at=mine.started_at if mine else None,
    )
    return [row for whole in wholes.values() for row in _job_rows(whole, frame)]


@dataclass(frozen=True, slots=True)
class _Frame:
    catalogue: Catalogue
    places: Mapping[int, str]
    names: Mapping[int, str]
    on_clock: Mapping[int, tuple[str, ...]]
    waits: Sequence[RunningWait]
    is_strict: bool
    now: datetime
    mine: Set[int]
    mine_since_at: datetime | None

    def last_wait_before(self, stage: Stage) -> RunningWait | None:
        """The last to end of the waits of the coats that a stage works on."""
        waits = [wait for wait in self.waits if stage.id in wait.follower_ids]
        return max(waits, key=lambda wait: wait.ready_at, default=None)


def _on_clock(floor: FloorNow, actor: Actor) -> dict[int, tuple[str, ...]]:
    others = [clock for clock in floor.clocks if clock.person_id != actor.person_id]
    names = floor.shop.person_names if others else {}
    found: dict[int, tuple[str, ...]] = {}
    for clock in others:
        for stage_id in clock.stage_ids:
            found[stage_id] = (*found.get(stage_id, ()), names.get(clock.person_id, ""))
    return found


@dataclass(frozen=True, slots=True)
class _Car:
    """What the rows of one job share: how ready its stages are, its panels' signs, what was not begun, who worked."""

    whole: WholeJob
    readiness: Mapping[int, Readiness]
    signs: Mapping[str, PanelSign]
    idle: Set[int]
    used: Mapping[int, int]
    begun_by: Mapping[int, str]


def _job_rows(whole: WholeJob, frame: _Frame) -> list[WorkRow]:
    job, stages = whole.job, whole.plan
    signs = job_coats(stages, whole.damages, frame.catalogue, frame.now, job.colour_hex)
    car = _Car(
        whole,
        readiness=readiness_with(job, whole.stages, whole.parts_by_id, frame.now),
        signs={sign.panel: sign for sign in signs},
        idle={stage.id for stage in stages if stage.is_idle},
        used=whole.used_minutes,
        begun_by=_begun_by(whole, frame.names),
    )
    return [_row(car, stage, frame) for stage in stages if stage.finished_at is None]


def _begun_by(whole: WholeJob, names: Mapping[int, str]) -> dict[int, str]:
    """Who was clocked on each stage the longest, by stage id."""
    minutes: dict[tuple[int, int], int] = {}
    for each in whole.clocked:
        key = (each.stage_id, each.person_id)
        minutes[key] = minutes.get(key, 0) + each.minutes
    order = sorted(minutes, key=lambda key: (minutes[key], names.get(key[1], "")))
    return {stage_id: names.get(person_id, "") for stage_id, person_id in order if minutes[stage_id, person_id]}


def _row(car: _Car, stage: Stage, frame: _Frame) -> WorkRow:
    job, ready, signs = car.whole.job, car.readiness[stage.id], car.signs
    panels, used = stage.panel_names, car.used.get(stage.id, 0)
    others = frame.on_clock.get(stage.id, ())
    return WorkRow(
        stage_id=stage.id,
        job_id=job.id,
        number=job.number,
        name=stage.name,
        code=stage.code,
        skill=stage.skill,
        purpose=stage.purpose,
        planned_minutes=stage.planned_minutes,
        used_minutes=used,
        panels=panels,
        car=car_line(job),
        place=frame.places.get(job.place_id or 0, ""),
        key_number=job.key_number,
        hex=job.colour_hex,
        sign=next((signs[panel] for panel in panels if panel in signs), next(iter(signs.values()), None)),
        uses=say_uses(stage),
        promise_on=job.promise_on,
        promise_half=job.promise_half,
        drop_off_on=job.drop_off_on,
        drop_off_half=job.drop_off_half,
        readiness=ready,
        wait=frame.last_wait_before(stage),
        others=others,
        begun_by=car.begun_by.get(stage.id, "") if not others else "",
        is_refused=frame.is_strict and ready.is_not_approved,
        next_at=ready_after(stage, frame.mine_since_at, used) if stage.id in frame.mine else None,
        is_next=not any(each.after_id in car.idle for each in stage.after),
    )


def say_uses(stage: Stage) -> str:
    """What a stage is done with, in a few words: its mixes ("260 ml primer 4:1:1"), else its grits, else a step."""
    pourings = pourings_of(stage)
    poured = [
        f"{say_ml(pouring.total_thousandths)} {each['name'].lower()} {pouring.true_ratio.replace(' ', '')}".strip()
        for each in stage.mixes
        if (pouring := pourings.get(each.get("code")))
    ]
    if poured:
        return ", ".join(poured)
    grits = [use.role.removeprefix("disc_").upper() for use in stage.uses if use.role.startswith("disc_p")]
    if grits:
        return ", ".join(grits)
    steps = stage.steps
    return str(steps[0]) if steps else ""
