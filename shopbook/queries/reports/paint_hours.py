"""What paint and materials of the jobs invoiced cost per hour that the shop bills them by, beside what was billed."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import date, timedelta
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.jobs import JobPart, Stage
from shopbook.queries.money.costs import sum_by_job
from shopbook.queries.reports.cars_read import CarsRead
from shopbook.queries.shop.rates import materials_rates
from shopbook.trade.billing import LineKind
from shopbook.trade.car.part_kinds import PartKind
from shopbook.trade.catalogue.kinds import Skill
from shopbook.trade.pricing import MaterialsRule
from shopbook.trade.pricing.materials import ANYBODY, REFINISH_STAGES
from shopbook.trade.purposes import StagePurpose
from shopbook.trade.results.break_even import PaintHours
from shopbook.trade.results.papers import has_invoice, net_by_kind

_BY_PAINT_HOUR = frozenset({MaterialsRule.PAINT_HOUR, MaterialsRule.PAINT_LABOUR})
_BILLED = (StagePurpose.PLAN, StagePurpose.EXTRA)


def read_paint_hours(read: CarsRead, first: date, last: date, stages: Mapping[int, Sequence[Stage]]) -> PaintHours:
    """The jobs whose first invoice (no deposit) was issued from `first` to `last`, days of what is `read`: all that
    they had cost by then of the shelf, of colour and of shop supplies, over their planned hours. `stages` are the
    `list_billed_stages` of these days; one statement and the shop's own.

    Refinish hours, or all paint hours where the shop's own rule for paint and materials goes by these.
    """
    shop = read.shop
    jobs = _invoiced_first(read, stages, first)
    spent = sum_by_job(read.costs_of(date.min, last))
    costs = [spent[job_id] for job_id in jobs if job_id in spent]
    by_refinish = materials_rates(shop.on(last).settings).rule(ANYBODY) not in _BY_PAINT_HOUR
    nets = net_by_kind((paper for job_id in jobs for paper in read.papers[job_id]), first, last)
    return PaintHours(
        minutes=sum(_minutes(stage, by_refinish=by_refinish) for job_id in jobs for stage in stages[job_id]),
        shelf_minor=sum(each.materials_minor for each in costs),
        colour_minor=_colour(shop.session, jobs, last, shop.zone),
        supplies_minor=sum(each.supplies_minor for each in costs),
        billed_sum_minor=nets.get(LineKind.MATERIALS, 0) + nets.get(LineKind.COLOUR, 0),
        by_refinish=by_refinish,
    )


def _invoiced_first(read: CarsRead, jobs: Iterable[int], first: date) -> list[int]:
    """Of these jobs with an invoice those that had none before a day."""
    before = first - timedelta(days=1)
    return [job_id for job_id in jobs if not has_invoice(read.papers[job_id], date.min, before)]


def _minutes(stage: Stage, *, by_refinish: bool) -> int:
    """What a stage adds to the hours that are billed."""
    is_counted = stage.code in REFINISH_STAGES if by_refinish else stage.skill == Skill.PAINT
    return stage.planned_minutes if is_counted and stage.struck_at is None and stage.purpose in _BILLED else 0


def _colour(session: Session, jobs: Collection[int], last: date, zone: ZoneInfo) -> int:
    asked = select(JobPart.cost_minor, JobPart.sent_back_at).where(
        JobPart.job_id.in_(jobs), JobPart.kind == PartKind.COLOUR, JobPart.came_on <= last
    )
    rows = session.execute(asked).all()
    return sum(cost for cost, back_at in rows if back_at is None or back_at.astimezone(zone).date() > last)
