"""What paint and materials of the jobs invoiced cost per hour that the shop bills them by, beside what was billed."""

from collections.abc import Collection, Sequence
from datetime import date
from zoneinfo import ZoneInfo

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.jobs import JobPart, Stage
from shopbook.models.money import Invoice, InvoiceLine
from shopbook.queries.money.costs import list_costs, sum_by_job
from shopbook.queries.shop.rates import materials_rates
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.billing import LineKind
from shopbook.trade.car.part_kinds import PartKind
from shopbook.trade.catalogue.kinds import Skill
from shopbook.trade.pricing import MaterialsRule
from shopbook.trade.pricing.materials import ANYBODY, REFINISH_STAGES
from shopbook.trade.purposes import StagePurpose
from shopbook.trade.results.break_even import PaintHours

_BY_PAINT_HOUR = frozenset({MaterialsRule.PAINT_HOUR, MaterialsRule.PAINT_LABOUR})
_BILLED = (StagePurpose.PLAN, StagePurpose.EXTRA)


def read_paint_hours(shop: ShopOn, first: date, last: date) -> PaintHours:
    """The jobs whose first invoice (no deposit) was issued from `first` to `last`: all that they had cost by then of
    the shelf, of colour and of shop supplies, over their planned hours. Nine statements.

    Refinish hours, or all paint hours where the shop's own rule for paint and materials goes by these.
    """
    session = shop.session
    jobs = _invoiced_first(session, first, last)
    costs = sum_by_job(list_costs(session, jobs=jobs, last=last)).values()
    by_refinish = materials_rates(shop.on(last).settings).rule(ANYBODY) not in _BY_PAINT_HOUR
    return PaintHours(
        minutes=_minutes(session, jobs, by_refinish=by_refinish),
        shelf_minor=sum(each.materials_minor for each in costs),
        colour_minor=_colour(session, jobs, last, shop.zone),
        supplies_minor=sum(each.supplies_minor for each in costs),
        billed_sum_minor=_billed(session, jobs, first, last),
        by_refinish=by_refinish,
    )


def _invoiced_first(session: Session, first: date, last: date) -> Sequence[int]:
    begun = func.min(Invoice.issued_on)
    asked = select(Invoice.job_id).where(Invoice.kind == "invoice", Invoice.issued_on <= last)
    return session.scalars(asked.group_by(Invoice.job_id).having(begun >= first).order_by(Invoice.job_id)).all()


def _minutes(session: Session, jobs: Collection[int], *, by_refinish: bool) -> int:
    hours = Stage.code.in_(REFINISH_STAGES) if by_refinish else Stage.skill == Skill.PAINT
    asked = select(func.sum(Stage.planned_minutes)).where(
        Stage.job_id.in_(jobs), Stage.struck_at.is_(None), Stage.purpose.in_(_BILLED), hours
    )
    return int(session.scalar(asked) or 0)


def _colour(session: Session, jobs: Collection[int], last: date, zone: ZoneInfo) -> int:
    asked = select(JobPart.cost_minor, JobPart.sent_back_at).where(
        JobPart.job_id.in_(jobs), JobPart.kind == PartKind.COLOUR, JobPart.came_on <= last
    )
    rows = session.execute(asked).all()
    return sum(cost for cost, back_at in rows if back_at is None or back_at.astimezone(zone).date() > last)


def _billed(session: Session, jobs: Collection[int], first: date, last: date) -> int:
    asked = (
        select(func.sum(InvoiceLine.net_minor))
        .join(Invoice, Invoice.id == InvoiceLine.invoice_id)
        .where(Invoice.job_id.in_(jobs), Invoice.issued_on.between(first, last))
        .where(InvoiceLine.kind.in_((LineKind.MATERIALS, LineKind.COLOUR)))
    )
    return int(session.scalar(asked) or 0)
