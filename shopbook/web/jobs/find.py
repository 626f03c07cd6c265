"""What the search of the frame answers: a page, and a few lines while somebody types. The role decides what."""

from collections.abc import Iterator
from dataclasses import dataclass

from flask import g, jsonify, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from shopbook.queries.floor.recent import list_recent
from shopbook.queries.jobs.finding import FoundRow, list_close, list_found, meant_job
from shopbook.queries.jobs.jobs import job_standing
from shopbook.queries.money.finding import list_of_number
from shopbook.trade.standing import STANDING_WORDS
from shopbook.web.jobs.routes import blueprint
from shopbook.web.jobs.visits import visits
from shopbook.web.parts import Answer, car_text, needs, reader, shop_now
from shopbook.web.parts.frame import has_left, said
from shopbook.web.parts.rows import Customer, Invoice, Job

LONGEST = 200
MOST_JOBS, MOST_OTHERS = 5, 3
"""Lines that are offered while somebody types; the page has the rest."""
KINDS = {"credit": "Credit note", "deposit": "Deposit invoice", "fee": "Fee"}


@dataclass(frozen=True, slots=True)
class Answered:
    """What was typed, the rows it names and the papers of that number; `is_close` where it was spelled otherwise."""

    typed: str
    rows: list[FoundRow]
    papers: list["FoundPaper"]
    is_close: bool = False

    @property
    def words(self) -> str:
        """How much was found, in words."""
        count = len(self.rows) + len(self.papers)
        if not count:
            return "Nothing found"
        return f"Nothing spelled like that, {count} close to it" if self.is_close else f"{count} found"


@dataclass(frozen=True, slots=True)
class FoundPaper:
    """An invoice or a credit note, as it is called, with its job."""

    title: str
    invoice: Invoice
    job: Job


@dataclass(frozen=True, slots=True)
class Option:
    """One line that is offered: what it is called, what tells it from others, where it leads."""

    title: str
    sub: str
    url: str


@blueprint.get("/find")
@needs("jobs", "see")
def find() -> Answer:
    """What the search finds; a number that only one job answers to leads straight to it."""
    found = _look_up(request.args.get("q", "").strip()[:LONGEST])
    meant = None if found.is_close else meant_job(found.rows, found.typed)
    if meant is not None:
        return redirect(url_for("jobs.show", number=meant.number))
    stands = {visit.job.id: visit for visit in visits(row.job for row in found.rows if row.job)}
    return render_template("jobs/find.html", q=found.typed, found=found, stands=stands)


@blueprint.get("/find.json")
@needs("jobs", "see")
def offer() -> Response:
    """The first lines of the same while somebody types; with nothing typed the jobs that this person was last at."""
    typed = request.args.get("q", "").strip()[:LONGEST]
    if not typed:
        last = list_recent(reader(), g.actor.person_id, shop_now().day)
        return jsonify(said="Your last jobs" if last else "", options=[_of_job(job) for job in last], has_more=False)
    found = _look_up(typed)
    options = list(_options(found))
    return jsonify(said=found.words, options=options, has_more=len(options) < len(found.rows) + len(found.papers))


def _look_up(typed: str) -> Answered:
    if not typed:
        return Answered(typed, [], [])
    sees_people = g.actor.may("customers", "see")
    rows = list_found(reader(), typed, sees_people=sees_people)
    papers = _papers(typed) if g.actor.may("money", "see") else []
    if rows or papers:
        return Answered(typed, rows, papers)
    return Answered(typed, list_close(reader(), typed, sees_people=sees_people), papers, is_close=True)


def _papers(typed: str) -> list[FoundPaper]:
    prefix = shop_now().book.number_prefix
    return [
        FoundPaper(
            f"{KINDS.get(paper.kind, 'Invoice')} {'' if paper.kind == 'credit' else prefix}{paper.number}", paper, job
        )
        for paper, job in list_of_number(shop_now(), typed)
    ]


def _options(found: Answered) -> Iterator[Option]:
    jobs = [row.job for row in found.rows if row.job]
    yield from (_of_job(job) for job in jobs[:MOST_JOBS])
    for paper in found.papers:
        yield Option(paper.title, _named(paper.job), url_for("money.invoice", invoice_id=paper.invoice.id))
    yield from (_of_other(row) for row in [row for row in found.rows if not row.job][:MOST_OTHERS])


def _of_job(job: Job) -> Option:
    car = car_text(job.vehicle, with_plate=True) if job.vehicle else ""
    key = f"key {job.key_number}" if job.key_number and not has_left(job) else ""
    about = (car, said(STANDING_WORDS[job_standing(job)]).lower(), key)
    return Option(_named(job), " · ".join(filter(None, about)), url_for("jobs.show", number=job.number))


def _of_other(row: FoundRow) -> Option:
    whose = _called(row.customer)
    if row.vehicle is not None:
        there = url_for("customers.vehicle", vehicle_id=row.vehicle.id)
        return Option(car_text(row.vehicle, with_plate=True), whose, there)
    phone = row.customer.phone if row.customer and row.customer.name else ""
    there = url_for("customers.show", customer_id=row.customer.id if row.customer else 0)
    return Option(whose, " · ".join(filter(None, ("customer", phone))), there)


def _named(job: Job) -> str:
    return f"{job.number} {_called(job.customer) or job.wrong}"


def _called(who: Customer | None) -> str:
    """A name, or a phone number for whoever may see it."""
    if who is None or who.erased_at is not None:
        return ""
    return who.name or (who.phone if g.actor.may("customers", "see") else "")
