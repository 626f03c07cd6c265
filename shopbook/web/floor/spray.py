"""A spray record: what was really sprayed, filled in from the last time and from the stage's own mixes."""

import math
from collections.abc import Mapping, Sequence

from flask import url_for

from shopbook.queries.floor.colour_cards import list_cards_in
from shopbook.queries.floor.sprays import PouredMix, list_colour_records, list_poured, list_stage_records
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.jobs.mixes import coats_of_mix
from shopbook.queries.jobs.planning import conditions_of
from shopbook.queries.jobs.plans import get_stage
from shopbook.services.floor.sprays import keep_spray_record
from shopbook.trade.air.spray_record import Spraying, say_record
from shopbook.trade.catalogue.entries import GunKind
from shopbook.trade.coating.gun import setup_warnings
from shopbook.trade.coating.paints import Paint
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.quantities import format_quantity
from shopbook.trade.measures.units import Kind
from shopbook.trade.planning.spraying import BASE_MIXES, PAINTS
from shopbook.web.floor import words
from shopbook.web.floor.blueprint import blueprint
from shopbook.web.floor.forms import SprayForm
from shopbook.web.parts import Act, Answer, Done, act_by_form, needs, reader, shop_now
from shopbook.web.parts.fields import said_choices
from shopbook.web.parts.frame import said
from shopbook.web.parts.rows import Job, Stage

PRODUCT_WORDS: dict[Paint, str] = {
    Paint.ETCH: "Etch primer",
    Paint.EPOXY: "Epoxy primer",
    Paint.PROMOTER: "Plastic promoter",
    Paint.SURFACER: "{Primer}",
    Paint.SEALER: "Sealer",
    Paint.GROUND: "Ground coat",
    Paint.BASE_SOLVENT: "Base, solvent-borne",
    Paint.BASE_WATER: "Base, waterborne",
    Paint.MIDCOAT: "Mid coat",
    Paint.CLEAR_MEDIUM: "{Clear}, medium solids",
    Paint.CLEAR_HIGH: "{Clear}, high solids",
}
"""What was sprayed, in the words of the country where it is said."""


@blueprint.route("/stages/<int:stage_id>/spray", methods=["GET", "POST"])
@needs("floor", "work")
def spray(stage_id: int) -> Answer:
    stage = get_stage(reader(), stage_id)
    job = get_job_by_id(reader(), stage.job_id)
    code = (job.vehicle.colour_code if job.vehicle else "") or ""
    kept = list_stage_records(reader(), stage_id)
    begun = _begun(stage, job, [record.product for record in kept])
    mixed = Paint(str(begun["product"]))
    form = SprayForm(data={"colour_code": code, "on": shop_now().day, **begun})
    form.product.choices = said_choices(PRODUCT_WORDS)()

    def keep(act: Act) -> Done:
        sprayed = _sprayed(form)
        keep_spray_record(act, stage_id, sprayed, variant=form.variant.data or "")
        flash = " ".join(["Saved. The next job in that {colour} will show it.", *_unusual(sprayed)])
        return Done(url_for("floor.stage", stage_id=stage_id), flash)

    return act_by_form(form, "floor/spray.html", keep, stage=stage, job=job, kept=kept, **_known(code, mixed))


def _begun(stage: Stage, job: Job, noted: Sequence[str]) -> dict[str, object]:
    """What the mix just poured says: product, batches, coats of the plan, the air of the job. Of several mixes it is
    the newest that is not noted yet; before any is poured the stage's first planned one, without batches."""
    last = _last_poured(stage, noted)
    code = last.code if last else next((use.mix for use in stage.uses if use.mix in PAINTS), "base_solvent")
    celsius = conditions_of(shop_now().settings, (), job.conditions).temperature_c
    return {
        "product": PAINTS[code].value,
        "coats": coats_of_mix(stage, code),
        "lots": ", ".join(last.lots) if last else "",
        "temperature_c": round(celsius * 1000),
    }


def _last_poured(stage: Stage, noted: Sequence[str]) -> PouredMix | None:
    poured = [each for each in list_poured(reader(), stage) if each.code in PAINTS]
    return next((each for each in poured if PAINTS[each.code].value not in noted), next(iter(poured), None))


def say_last(record: Spraying) -> str:
    """A record of the colour in one line, its coat in the words of the country."""
    return say_record(record, said(PRODUCT_WORDS[record.paint]))


def _known(code: str, paint: Paint) -> dict[str, object]:
    """What is known already: the last sprayings of the colour, the usual setup of the gun."""
    cards = list_cards_in(reader(), code)
    return {
        "earlier": [say_last(record) for record in list_colour_records(reader(), code, 5, cards)],
        "usual": _usual(_guns().get(paint)),
        "words": words,
    }


def _usual(setup: GunKind | None) -> dict[str, str]:
    """The gun's usual set-up by field, in the units that the shop types."""
    if setup is None:
        return {}
    units = shop_now().units
    air, distance, locale = units.shown(Kind.PRESSURE), units.shown(Kind.LENGTH), units.locale
    shown = {
        "tip_mm": [f"{each:g}" for each in setup.tip_mm],
        "inlet_bar": [format_quantity(round(each * 1000), air, locale=locale) for each in setup.inlet_bar],
        "distance_cm": [
            format_quantity(round(each * 10_000), distance, places=0, locale=locale) for each in setup.distance_cm
        ],
        "overlap_percent": [f"{each:g}" for each in setup.overlap_percent],
    }
    return {name: f"usually {' to '.join(figures)}" for name, figures in shown.items()}


def _guns() -> Mapping[str, GunKind]:
    return shop_now().catalogue.guns


def _unusual(sprayed: Spraying) -> tuple[str, ...]:
    """Gun settings outside the shop's usual, to look at again: never a refusal."""
    guns = _guns()
    usual = guns.get(sprayed.paint)
    if usual is None:
        return ()
    drop = guns.get("base_drop") if sprayed.paint in BASE_MIXES else None
    used = {name: getattr(sprayed, name) for name in ("tip_mm", "inlet_bar", "distance_cm", "overlap_percent")}
    told = setup_warnings(usual, used, drop)
    return (*told, "The gun’s plate and the data sheet come first.") if told else ()


def _sprayed(form: SprayForm) -> Spraying:
    return Spraying(
        on=form.on.data or shop_now().day,
        colour_code=form.colour_code.data or "",
        paint=Paint(form.product.data),
        coats=form.coats.data or 0,
        tip_mm=_figure(form, "tip_mm"),
        inlet_bar=_part_of(form.inlet_bar.data, 1000),
        distance_cm=_part_of(form.distance_cm.data, 10_000),
        overlap_percent=_figure(form, "overlap_percent"),
        temperature_c=_part_of(form.temperature_c.data, 1000),
        humidity_percent=form.humidity_percent.data,
        lots=tuple(mark.strip() for mark in (form.lots.data or "").split(",") if mark.strip()),
        note=form.note.data or "",
    )


def _part_of(thousandths: int | None, parts: int) -> float | None:
    return None if thousandths is None else thousandths / parts


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
        raise RuleBroken("Enter a number, for example 1.3.", name)
    return figure
