"""The log: what was done, by whom and to what, each line linked; of one job, one person or one kind of thing."""

from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from flask import render_template, request, url_for

from shopbook.queries.jobs.jobs import list_jobs_by_id, list_jobs_by_number
from shopbook.queries.shop.log import list_log
from shopbook.queries.shop.people import list_people
from shopbook.web.parts import as_key, needs, reader, today
from shopbook.web.parts.rows import LogLine
from shopbook.web.shop.routes import blueprint

PAGE = 50
SEEN = 12
"""Lines that stand open; the others fold under one line."""
DAYS_OF_PERSON = 60
SUBJECTS = {
    "job": "Jobs",
    "quote": "{Estimate}s",
    "invoice": "Invoices",
    "payment": "Payments",
    "customer": "Customers",
    "vehicle": "Cars",
    "material": "Materials",
    "supply_order": "Orders",
    "stock_count": "Counts",
    "person": "People",
    "tax_rate": "Taxes",
    "book": "Settings",
}
PAGES = {
    "invoice": ("money.invoice", "invoice_id"),
    "payment": ("money.payment", "payment_id"),
    "quote": ("money.quote", "quote_id"),
    "customer": ("customers.show", "customer_id"),
    "vehicle": ("customers.vehicle", "vehicle_id"),
    "material": ("shelf.material", "material_id"),
    "supply_order": ("shelf.order", "order_id"),
    "delivery": ("shelf.delivery", "delivery_id"),
    "supplier": ("shelf.supplier", "supplier_id"),
    "person": ("shop.person", "person_id"),
}
"""Where each kind of thing is shown. What can be removed again is left out, its page may be gone."""


@blueprint.get("/log")
@needs("shop", "set")
def log() -> str:
    asked = _asked()
    lines = _lines(asked)
    names = {person.id: person.name for person in list_people(reader(), is_everybody=True)}
    jobs = list_jobs_by_id(reader(), {line.job_id for line in lines if line.job_id})
    return render_template(
        "shop/log.html",
        lines=[(line, _subject_url(line), jobs.get(line.job_id or 0)) for line in lines[:PAGE]],
        seen=SEEN,
        names=names,
        subjects=SUBJECTS,
        asked=asked,
        days_of_person=DAYS_OF_PERSON,
        older=asked.url(lines[PAGE - 1].id) if len(lines) > PAGE else None,
        newest=asked.url(None) if request.args.get("before") else None,
    )


@dataclass(frozen=True, slots=True)
class Narrowed:
    """What the list is narrowed to, as typed: a job's number, a person, a kind of thing."""

    job: int | None
    person: int | None
    subject: str

    def url(self, before: int | None) -> str:
        """The address of the same, of the lines before one where that is given."""
        return url_for("shop.log", job=self.job, person=self.person, subject=self.subject or None, before=before)


def _asked() -> Narrowed:
    subject = request.args.get("subject", "")
    return Narrowed(
        request.args.get("job", type=as_key),
        request.args.get("person", type=as_key),
        subject if subject in SUBJECTS else "",
    )


def _lines(asked: Narrowed) -> list[LogLine]:
    job = list_jobs_by_number(reader(), [asked.job]).get(asked.job) if asked.job else None
    if asked.job and job is None:
        return []
    return list_log(
        reader(),
        job_id=job.id if job else None,
        person_id=asked.person,
        subject=asked.subject,
        since=today() - timedelta(days=DAYS_OF_PERSON) if asked.person else None,
        before=request.args.get("before", type=as_key),
        limit=PAGE + 1,
    )


def _subject_url(line: LogLine) -> str | None:
    """The page of what the line is about, where it has one."""
    endpoint, name = PAGES.get(line.subject, ("", ""))
    values: dict[str, Any] = {name: line.subject_id}  # url_for takes parameters of its own beside those of an address
    return url_for(endpoint, **values) if endpoint and line.subject_id else None
