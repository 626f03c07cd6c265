"""The versions of a plan: all of them, and any of them as it stood."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from flask import render_template

from shopbook.queries.jobs.catalogue import catalogue_on
from shopbook.queries.jobs.jobs import get_job
from shopbook.queries.jobs.plans import find_version, list_versions
from shopbook.queries.shop.book import get_units
from shopbook.queries.shop.days import day_of
from shopbook.queries.shop.people import list_people
from shopbook.trade.catalogue.entries import Material
from shopbook.trade.errors import NotFound
from shopbook.trade.measures.quantities import Unit, format_quantity
from shopbook.web.jobs.routes import blueprint
from shopbook.web.parts import needs, now, reader


@dataclass(frozen=True, slots=True)
class VersionRow:
    """One version of a plan, with what it came to."""

    version: int
    at: datetime
    by: str
    why: str
    minutes: int
    count: int


@blueprint.get("/<int:number>/versions")
@needs("jobs", "see")
def versions(number: int) -> str:
    job = get_job(reader(), number)
    people = {person.id: person.name for person in list_people(reader(), is_everybody=True)}
    rows = []
    for each in list_versions(reader(), job.id):
        live = [stage for stage in json.loads(each.body)["stages"] if not stage["is_struck"]]
        minutes = sum(stage["minutes"] for stage in live)
        rows.append(
            VersionRow(each.version, each.at, people.get(each.person_id or 0, "Shopbook"), each.why, minutes, len(live))
        )
    return render_template("jobs/versions.html", job=job, rows=rows)


@blueprint.get("/<int:number>/versions/<int:version>")
@needs("jobs", "see")
def version(number: int, version: int) -> str:
    job = get_job(reader(), number)
    kept = find_version(reader(), job.id, version)
    if kept is None:
        raise NotFound("That plan has no such version.")
    body = json.loads(kept.body)
    named = catalogue_on(reader(), day_of(reader(), now())).materials
    return render_template(
        "jobs/version.html",
        job=job,
        kept=kept,
        stages=[stage for stage in body["stages"] if not stage["is_struck"]],
        struck=[stage for stage in body["stages"] if stage["is_struck"]],
        said=lambda use: _use_words(use, named),
    )


def _use_words(use: Sequence[str | int], named: Mapping[str, Material]) -> str:
    """One kept use, (role, thousandths, unit, ...), as "Clear: 320 ml"; a role that is gone is said plainly."""
    role, amount, unit = str(use[0]), int(use[1]), Unit(str(use[2]))
    shown = get_units(reader()).shown(unit)
    name = named[role].name if role in named else role.replace("_", " ").capitalize()
    return f"{name}: {format_quantity(amount, shown, places=0 if shown in {Unit.ML, Unit.G} else None)}"
