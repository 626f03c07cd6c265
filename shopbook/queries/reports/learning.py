"""Hours that somebody clocked or typed, stage by stage, and what they say about the standards."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from sqlalchemy import ColumnElement, Subquery, case, func, or_, select
from sqlalchemy.orm import Session, aliased

from shopbook.models.floor import ClockEntry, ClockShare
from shopbook.models.jobs import Job, Stage
from shopbook.models.shop import CatalogueEntry
from shopbook.queries.shop.book import get_zone
from shopbook.queries.shop.rates import catalogue_edits_on
from shopbook.trade.catalogue.entries import EntryKind, StageKind
from shopbook.trade.catalogue.reading import own_catalogue, read_stored
from shopbook.trade.floor.words import STOPPED_AT_CLOSING, STOPPED_AT_NIGHT
from shopbook.trade.purposes import StagePurpose
from shopbook.trade.results.learning import ELSEWHERE, Taught, hours_figures, teach

_LEFT_RUNNING = (STOPPED_AT_CLOSING, STOPPED_AT_NIGHT)


@dataclass(frozen=True, slots=True)
class TouchedHours:
    """One finished stage whose hours somebody clocked for it alone, or typed."""

    code: str
    name: str
    standard_minutes: int
    minutes: int
    opened_on: date
    """The day its job was opened."""
    job_id: int


def list_touched_hours(session: Session, first: date | None = None, last: date | None = None) -> list[TouchedHours]:
    """Stages finished from `first` to `last` with hours that are somebody's own figure; one statement.

    Not counted: hours that a clock on several stages split by the plan, a clock that nobody stopped before the night
    and nobody corrected, and a stage that was done as planned without a clock. Where nobody clocked, the hours that
    somebody typed into the plan count. Rework is no measure of a standard.
    """
    clocked, zone = _clocked(), get_zone(session)
    rows = session.execute(
        select(
            Stage.code, Stage.name, Stage.standard_minutes, Stage.planned_minutes, Stage.is_touched, Job.opened_at,
            Job.id, clocked.c.minutes, clocked.c.guessed,
        )
        .join(Job, Job.id == Stage.job_id)
        .outerjoin(clocked, clocked.c.stage_id == Stage.id)
        .where(
            Stage.finished_at.is_not(None), Stage.struck_at.is_(None), Stage.purpose != StagePurpose.REWORK,
            Stage.standard_minutes > 0, or_(clocked.c.minutes > 0, Stage.is_touched), *_finished(zone, first, last),
        )
        .order_by(Stage.id)
    )  # fmt: skip
    found = []
    for code, name, standard, planned, is_touched, opened_at, job_id, minutes, guessed in rows:
        took = planned if not minutes and is_touched else 0 if guessed else int(minutes or 0)
        if took:
            found.append(TouchedHours(code, name, standard, took, opened_at.astimezone(zone).date(), job_id))
    return found


def taught_by_code(session: Session, day: date, since: Mapping[str, date] | None = None) -> Mapping[str, Taught]:
    """What touched hours say of each stage's standard as it holds on a day, by code; stages with too few are left out.

    Counted are jobs opened since the shop last changed that standard's hours (`since`: the `hours_changed_on` that day,
    where it is read already): earlier ones were held against another.
    """
    since = hours_changed_on(session, day) if since is None else since
    figures: dict[str, list[tuple[int, int]]] = {}
    for one in list_touched_hours(session):
        if one.code not in ELSEWHERE and one.opened_on >= since.get(one.code, date.min):
            figures.setdefault(one.code, []).append((one.standard_minutes, one.minutes))
    taught = {code: teach(pairs) for code, pairs in figures.items()}
    return {code: each for code, each in taught.items() if each is not None}


def _finished(zone: ZoneInfo, first: date | None, last: date | None) -> list[ColumnElement[bool]]:
    """Between two days of the shop's own clock, both counted; no bound where none is given."""
    found = []
    if first is not None:
        found.append(Stage.finished_at >= datetime.combine(first, time.min, zone))
    if last is not None:
        found.append(Stage.finished_at < datetime.combine(last + timedelta(days=1), time.min, zone))
    return found


def _clocked() -> Subquery:
    """Minutes by stage of the entries that stand, and whether any of them is no figure of anybody's own."""
    back = aliased(ClockEntry)
    on_it = select(ClockShare.entry_id, func.count().label("stages")).group_by(ClockShare.entry_id).subquery()
    is_guess = or_(on_it.c.stages > 1, ClockEntry.reason.in_(_LEFT_RUNNING))
    return (
        select(
            ClockShare.stage_id,
            func.sum(ClockShare.minutes).label("minutes"),
            func.max(case((is_guess, 1), else_=0)).label("guessed"),
        )
        .join(ClockEntry, ClockEntry.id == ClockShare.entry_id)
        .join(on_it, on_it.c.entry_id == ClockEntry.id)
        .outerjoin(back, back.reverses_id == ClockEntry.id)
        .where(ClockEntry.reverses_id.is_(None), back.id.is_(None))
        .group_by(ClockShare.stage_id)
        .subquery()
    )


def hours_changed_on(session: Session, day: date) -> dict[str, date]:
    """The day from which each stage's hours hold as they do on a day, where the shop changed them; one statement."""
    return _changed_on(catalogue_edits_on(session, day))


def _changed_on(edits: Sequence[CatalogueEntry]) -> dict[str, date]:
    held = {code: hours_figures(kind) for code, kind in own_catalogue().stages.items()}
    found: dict[str, date] = {}
    for edit in edits:
        if edit.kind == EntryKind.STAGE and edit.body:
            kind = read_stored(own_catalogue(), EntryKind.STAGE, edit.code, edit.body)
            assert isinstance(kind, StageKind)
            if held.get(edit.code) != hours_figures(kind):
                held[edit.code], found[edit.code] = hours_figures(kind), edit.from_on
    return found
