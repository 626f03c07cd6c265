"""Which address stands for each page of a book: of a job in work, of the newest paper, of the firm with most cars."""

import re
from collections.abc import Iterator

from flask import Flask
from sqlalchemy import Select, func, select
from sqlalchemy.orm import Session

from shopbook.models.customers import Vehicle
from shopbook.models.floor import ClockEntry
from shopbook.models.jobs import Damage, Job, JobPart, Picture, Stage
from shopbook.models.money import Invoice, InvoicePayer, MonthClose, Payment, Quote
from shopbook.models.shelf import Delivery, DeliveryLine, Movement, OrderLine, SupplyOrder
from tests.house.test_permissions import rules

_ASKED = ("/jobs/find?q=ada", "/jobs/find?q=ada+by", "/jobs/?which=all", "/customers/?after=m", "/floor/day?person=3")
"""What is asked of a page besides."""


def addresses(app: Flask, session: Session) -> dict[str, str]:
    """An address of the book by its rule, for every page that one can be made for; the rule names it in any book."""
    fill = {name: session.scalar(asked) for name, asked in _gaps(session).items()}
    found = {rule: _filled(rule, fill) for rule in _shown(app)}
    return {rule: address for rule, address in found.items() if address} | {asked: asked for asked in _ASKED}


def _shown(app: Flask) -> Iterator[str]:
    yield from sorted({rule.rule for rule in rules(app) if "GET" in (rule.methods or ())})


def _filled(rule: str, fill: dict[str, object]) -> str:
    """The address of a rule; empty where the book has nothing for one of its gaps."""
    gaps = re.findall(r"<(?:\w+:)?(\w+)>", rule)
    if any(fill.get(gap) is None for gap in gaps):
        return ""
    return re.sub(r"<(?:\w+:)?(\w+)>", lambda gap: str(fill[gap[1]]), rule)


def _gaps(session: Session) -> dict[str, Select[tuple[object]]]:
    """What goes into a gap by its name; everything of a job is of the job in work that has most stages."""
    in_work = select(Job.id).where(Job.begun_at.is_not(None), Job.ready_at.is_(None))
    many = select(Stage.job_id).where(Stage.job_id.in_(in_work)).group_by(Stage.job_id)
    job = session.scalar(many.order_by(func.count().desc(), Stage.job_id).limit(1)) or 1
    invoice = session.scalar(select(func.max(Invoice.id)))
    delivery, order = select(func.max(Delivery.id)), select(func.max(SupplyOrder.id))
    firm = select(Vehicle.customer_id).group_by(Vehicle.customer_id).order_by(func.count().desc()).limit(1)
    busiest = select(Movement.material_id).group_by(Movement.material_id).order_by(func.count().desc()).limit(1)
    return {
        "number": select(Job.number).where(Job.id == job),
        "job_id": select(Job.id).where(Job.id == job),
        "vehicle_id": select(Job.vehicle_id).where(Job.id == job),
        "damage_id": select(func.max(Damage.id)).where(Damage.job_id == job),
        "part_id": select(func.max(JobPart.id)).where(JobPart.job_id == job),
        "stage_id": select(func.max(Stage.id)).where(Stage.job_id == job, Stage.code == "base_clear"),
        "quote_id": select(func.max(Quote.id)).where(Quote.job_id == job),
        "version": select(1),
        "customer_id": firm,
        "picture_id": select(func.max(Picture.id)),
        "entry_id": select(func.max(ClockEntry.id)),
        "invoice_id": select(func.max(Invoice.id)),
        "payer_id": select(func.max(InvoicePayer.customer_id)).where(InvoicePayer.invoice_id == invoice),
        "payment_id": select(func.max(Payment.id)),
        "material_id": busiest,
        "delivery_id": delivery,
        "order_id": order,
        "line_id": select(func.max(DeliveryLine.id)).union_all(select(func.max(OrderLine.id))).limit(1),
        "supplier_id": select(1),
        "place_id": select(1),
        "person_id": select(3),
        "name": select(func.max(MonthClose.month)),
    }
