"""What if: the same damage under another temperature, with other coats, a lamp or a blend; and the choice kept."""

from dataclasses import asdict

from flask import render_template, request

from shopbook.queries.jobs.jobs import get_job
from shopbook.queries.jobs.planning import Planning, planning_on
from shopbook.queries.jobs.what_if import WhatIfAnswer, what_if_of
from shopbook.services.jobs.doing import refuse_over
from shopbook.services.jobs.drafting import keep_conditions
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.amounts import divide_half_away
from shopbook.trade.measures.quantities import format_quantity
from shopbook.trade.measures.units import Kind
from shopbook.trade.planning.comparing import Change
from shopbook.web.jobs.forms import WhatIfForm
from shopbook.web.jobs.routes import blueprint
from shopbook.web.jobs.show import page_of
from shopbook.web.parts import Act, Answer, Cleaned, Done, act_by_form, needs, reader, shop_now
from shopbook.web.parts.rows import Job

_ANSWERS = {"yes": True, "no": False}


@blueprint.route("/<int:number>/what-if", methods=["GET", "POST"])
@needs("jobs", "change")
def what_if(number: int) -> Answer:
    job = get_job(reader(), number)
    refuse_over(job)
    form = WhatIfForm(request.args) if request.method == "GET" and request.args else WhatIfForm()
    planning = planning_on(shop_now(), job)
    answer = _answer(form, job, planning) if request.args or request.method == "POST" else None
    units, celsius = shop_now().units, round(planning.conditions.temperature_c * 1000)
    as_it_is = format_quantity(celsius, units.shown(Kind.TEMPERATURE), places=0, locale=units.locale)
    shown = {"job": job, "planning": planning, "answer": answer, "temperature": as_it_is}
    if request.method == "GET":
        return render_template("jobs/what_if.html", form=form, **shown)

    def keep(act: Act) -> Done:
        keep_conditions(act, job.id, **_kept(form))
        return Done(page_of(number, "plan"), "The plan is drafted for these conditions.")

    return act_by_form(form, "jobs/what_if.html", keep, **shown)


def _answer(form: WhatIfForm, job: Job, planning: Planning) -> WhatIfAnswer | None:
    if not form.validate():
        return None
    try:
        return what_if_of(shop_now(), job, planning, _change(form))
    except RuleBroken as broken:
        form.refuse(broken)
        return None


def _change(form: WhatIfForm) -> Change:
    given = form.clean()
    temperature = given["temperature"]
    return Change(
        temperature_c=None if temperature is None else temperature / 1000,
        humidity=given["humidity"],
        has_lamp=_ANSWERS.get(given["has_lamp"]),
        base_coats=given["base_coats"],
        clear_coats=given["clear_coats"],
        is_blended=_ANSWERS.get(given["is_blended"]),
        is_surfacer_for_build=_ANSWERS.get(given["is_surfacer_for_build"]),
    )


def _kept(form: WhatIfForm) -> Cleaned:
    """Only what was typed: the rest stays as it was kept."""
    values = asdict(_change(form))
    del values["temperature_c"]
    if form.temperature.data is not None:
        values["temperature_tenths"] = divide_half_away(form.temperature.data, 100)
    return {name: value for name, value in values.items() if value is not None}
