"""Repair or replace: a damaged panel compared with a new one, both sums beside each other. Nothing is kept."""

from flask import render_template, request

from shopbook.queries.jobs.damage import list_damages
from shopbook.queries.jobs.jobs import get_job
from shopbook.queries.jobs.replacing import compare_panel
from shopbook.services.jobs.doing import refuse_over
from shopbook.trade.errors import RuleBroken
from shopbook.trade.planning.comparing import Comparison
from shopbook.web.jobs.forms import ReplaceForm, panel_choices
from shopbook.web.jobs.routes import blueprint
from shopbook.web.parts import country, needs, reader, shop_now


@blueprint.get("/<int:number>/repair-or-replace")
@needs("jobs", "change")
def repair_or_replace(number: int) -> str | tuple[str, int]:
    job = get_job(reader(), number)
    refuse_over(job)
    form = ReplaceForm(request.args) if request.args else ReplaceForm()
    hurt = dict.fromkeys(damage.panel for damage in list_damages(reader(), job.id) if damage.left_at is None)
    form.panel.choices = panel_choices({code: country().panel(code) for code in hurt})
    compared: Comparison | None = None
    if request.args and form.validate():
        try:
            compared = compare_panel(shop_now(), job, form.panel.data, form.part_minor.data or 0)
        except RuleBroken as broken:
            form.refuse(broken)
    page = render_template("jobs/repair_or_replace.html", job=job, form=form, compared=compared)
    return (page, 422) if form.errors else page
