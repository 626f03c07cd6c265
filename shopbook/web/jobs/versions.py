"""The versions of a plan: all of them, and any of them as it stood."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from flask import render_template

from shopbook.queries.jobs.jobs import get_job
from shopbook.queries.jobs.plans import find_version, list_versions
from shopbook.trade.catalogue.entries import KnownMaterial
from shopbook.trade.errors import NotFound
from shopbook.trade.measures.quantities import format_quantity
from shopbook.trade.measures.units import Unit
from shopbook.web.jobs.routes import blueprint
from shopbook.web.parts import needs, reader, shop_now


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
    people = shop_now().person_names
    rows = []
    for each in list_versions(reader(), job.id):
        live = [stage for stage in each.body["stages"] if not stage["is_struck"]]
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
        raise NotFound("This plan has no such version. Choose one from the list.")
    body = kept.body
    named = shop_now().catalogue.materials
    return render_template(
        "jobs/version.html",
        job=job,
        kept=kept,
        stages=[stage for stage in body["stages"] if not stage["is_struck"]],
        struck=[stage for stage in body["stages"] if stage["is_struck"]],
        said=lambda use: _use_words(use, named),
    )


def _use_words(use: Sequence[str | int], named: Mapping[str, KnownMaterial]) -> str:
    """One kept use, (role, thousandths, unit, ...), as "Clear: 320 ml"; a role that is gone is said plainly."""
    role, amount, units = str(use[0]), int(use[1]), shop_now().units
    shown = units.shown(Unit(str(use[2])))
    places = 0 if shown in {Unit.ML, Unit.G} else None
    name = named[role].name if role in named else role.replace("_", " ").capitalize()
    return f"{name}: {format_quantity(amount, shown, places=places, locale=units.locale)}"
