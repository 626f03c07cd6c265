"""A spray record: what was really sprayed, prefilled from the last time and from the stage's own mixes."""

import math
from datetime import datetime
from typing import Any

from flask import url_for
from sqlalchemy.orm import Session

from shopbook.queries.floor.sprays import list_colour_records, list_stage_records
from shopbook.queries.jobs.catalogue import catalogue_on
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.jobs.plans import get_stage
from shopbook.queries.shop.days import day_of
from shopbook.services.floor.sprays import keep_spray_record
from shopbook.trade.errors import RuleBroken
from shopbook.trade.paints import Paint
from shopbook.trade.permissions import Actor
from shopbook.trade.spray_record import SprayRecord, say_record
from shopbook.web.floor import words
from shopbook.web.floor.blueprint import blueprint
from shopbook.web.floor.forms import SprayForm
from shopbook.web.parts.act import Done, act_by_form, now, reader
from shopbook.web.parts.forms import choices
from shopbook.web.parts.guards import needs

PRODUCT_WORDS = {paint.value: paint.value.replace("_", " ").capitalize() for paint in Paint}


@blueprint.route("/stages/<int:stage_id>/spray", methods=["GET", "POST"])
@needs("floor", "work")
def spray(stage_id: int) -> Any:
    stage = get_stage(reader(), stage_id)
    job = get_job_by_id(reader(), stage.job_id)
    code = (job.vehicle.colour_code if job.vehicle else "") or ""
    mixed = next((use.mix for use in stage.uses if use.mix in PRODUCT_WORDS), Paint.BASE_SOLVENT.value)
    form = SprayForm(data={"product": mixed, "colour_code": code, "on": day_of(reader(), now()), "coats": 2})
    form.product.choices = choices(PRODUCT_WORDS)

    def keep(session: Session, actor: Actor, moment: datetime) -> Done:
        keep_spray_record(session, actor, moment, stage_id, _sprayed(form), variant=form.variant.data or "")
        return Done(url_for("floor.stage", stage_id=stage_id), "Kept. The next job with that colour shows it.")

    return act_by_form(form, "floor/spray.html", keep, stage=stage, job=job, **_known(stage_id, code, Paint(mixed)))


def _known(stage_id: int, code: str, paint: Paint) -> dict[str, Any]:
    """What is known already: the last sprayings of the colour, what this stage kept, the usual set-up of the gun."""
    return {
        "earlier": [say_record(record) for record in list_colour_records(reader(), code, 5)],
        "kept": list_stage_records(reader(), stage_id),
        "setup": catalogue_on(reader(), day_of(reader(), now())).guns.get(paint),
        "words": words,
    }


def _sprayed(form: SprayForm) -> SprayRecord:
    warm = form.temperature.data
    return SprayRecord(
        on=form.on.data or day_of(reader(), now()),
        colour_code=form.colour_code.data or "",
        paint=Paint(form.product.data),
        coats=form.coats.data or 0,
        tip_mm=_figure(form, "tip_mm"),
        inlet_bar=_figure(form, "inlet_bar"),
        distance_cm=_figure(form, "distance_cm"),
        temperature_c=None if warm is None else warm / 1000,
        humidity_percent=form.humidity_percent.data,
        lots=tuple(mark.strip() for mark in (form.lots.data or "").split(",") if mark.strip()),
        note=form.note.data or "",
    )


def _figure(form: SprayForm, name: str) -> float | None:
    """A figure with decimals as typed; None for an empty field."""
    text = (form[name].data or "").strip().replace(",", ".")
    if not text:
        return None
    try:
        figure = float(text)
    except ValueError:
        figure = math.nan
    if not math.isfinite(figure):
        raise RuleBroken("Type a figure such as 1.3.", name)
    return figure
