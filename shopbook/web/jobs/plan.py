"""The plan by hand: hours, words, usage and order of stages; stages added, removed, restored."""

from collections.abc import Callable

from flask import render_template, request, url_for
from werkzeug.wrappers import Response

from shopbook.queries.jobs.jobs import get_job
from shopbook.queries.jobs.parts import list_parts
from shopbook.queries.jobs.plans import get_stage, last_version, list_stages
from shopbook.queries.jobs.sheet import sheet_of, stage_line_of
from shopbook.queries.jobs.whole import whole_job
from shopbook.services.jobs.doing import refuse_over
from shopbook.services.jobs.order import move_stage
from shopbook.services.jobs.plans import add_stage, change_stage, restore_stage, strike_stage
from shopbook.services.jobs.uses import change_use
from shopbook.trade.errors import NotFound, RuleBroken
from shopbook.trade.measures.quantities import parse_quantity, quantity_for_field
from shopbook.trade.measures.units import Unit
from shopbook.trade.purposes import STAGE_PURPOSE_WORDS
from shopbook.web.jobs.forms import NewStageForm, StageForm, panel_choices
from shopbook.web.jobs.removing import remove_by_press
from shopbook.web.jobs.routes import blueprint
from shopbook.web.parts import Act, Answer, Done, act_by_form, act_by_press, choices, needs, now, reader, shop_now
from shopbook.web.parts.frame import country
from shopbook.web.parts.rows import Job, Stage


def _plan_of(number: int) -> str:
    return url_for("jobs.plan", number=number)


@blueprint.get("/<int:number>/plan")
@needs("jobs", "see")
def plan(number: int) -> str:
    job = get_job(reader(), number)
    return render_template(
        "jobs/plan.html",
        job=job,
        sheet=sheet_of(whole_job(reader(), job), shop_now(), now()),
        purpose_words=STAGE_PURPOSE_WORDS,
    )


@blueprint.route("/<int:number>/plan/<int:stage_id>", methods=["GET", "POST"])
@needs("jobs", "change")
def stage(number: int, stage_id: int) -> Answer:
    job, found = get_job(reader(), number), get_stage(reader(), stage_id)
    if found.job_id != job.id:
        raise NotFound("This stage is not in this plan. Go back and look at the plan again.")
    refuse_over(job)
    form = _stage_form(job, found)
    line = stage_line_of(shop_now(), job, found, now())
    amounts, shown = _amounts(found)

    def keep(act: Act) -> Done:
        given = form.clean()
        part_id = given.pop("part_id")
        change_stage(act, stage_id, part_id=part_id or None, waits_for_no_part=not part_id, **given)
        _change_amounts(act, amounts, shown)
        return Done(_plan_of(number), "Saved.")

    return act_by_form(form, "jobs/stage.html", keep, job=job, stage=found, line=line, amounts=amounts, shown=shown)


def _stage_form(job: Job, found: Stage) -> StageForm:
    kept = {name: getattr(found, name) for name in ("name", "skill", "planned_minutes", "not_before_minutes")}
    form = StageForm(data=kept | {"part_id": found.waits_for_part_id or 0, "version": last_version(reader(), job.id)})
    form.part_id.choices = choices({0: "for none"} | {part.id: part.name for part in list_parts(reader(), job.id)})
    return form


def _amounts(found: Stage) -> tuple[dict[int, str], dict[int, str]]:
    """What a stage uses as it would be typed, and the unit of each, by the use's id."""
    system = shop_now().units
    units = {use.id: system.shown(Unit(use.unit)) for use in found.uses}
    amounts = {use.id: quantity_for_field(use.amount_thousandths, units[use.id], system.locale) for use in found.uses}
    return amounts, {key: unit.value for key, unit in units.items()}


def _change_amounts(act: Act, amounts: dict[int, str], shown: dict[int, str]) -> None:
    """Change what was typed otherwise than the page showed it."""
    for use_id, unit in shown.items():
        typed = request.form.get(f"use.{use_id}")
        if typed is not None and typed.strip() != amounts[use_id]:
            _change_amount(act, use_id, typed, Unit(unit))


def _change_amount(act: Act, use_id: int, typed: str, unit: Unit) -> None:
    try:
        amount = parse_quantity(typed, unit, locale=shop_now().units.locale) if typed.strip() else 0
    except RuleBroken as broken:
        raise RuleBroken(f"{typed.strip()[:40]}: {broken.sentence}") from broken
    change_use(act, use_id, amount_thousandths=amount)


@blueprint.route("/<int:number>/plan/new", methods=["GET", "POST"])
@needs("jobs", "change")
def new_stage(number: int) -> Answer:
    job = get_job(reader(), number)
    refuse_over(job)
    form = NewStageForm()
    there = list_stages(reader(), job.id)
    form.after_stage_id.choices = choices(
        {0: "at the end"} | {each.id: f"{each.position}. {each.name}" for each in there}
    )
    form.panel.choices = [*choices({"": "The whole car"}), *panel_choices(dict(country().panels))]

    def add(act: Act) -> Done:
        given = form.clean()
        panel, behind = given.pop("panel"), given.pop("after_stage_id")
        if given["minutes"] is None:
            raise RuleBroken("Enter the hours it takes, for example 0.5.", "minutes")
        panels = [panel] if panel else []
        add_stage(act, job.id, after_stage_id=behind or None, panels=panels, **given)
        return Done(_plan_of(number), "Added.")

    return act_by_form(form, "jobs/new_stage.html", add, job=job)


def _press(number: int, stage_id: int, said: str, service: Callable[[Act], object]) -> Response:
    return act_by_press(_doing(number, stage_id, said, service), _plan_of(number))


def _doing(number: int, stage_id: int, said: str, service: Callable[[Act], object]) -> Callable[[Act], Done]:
    def doing(act: Act) -> Done:
        if get_stage(act.session, stage_id).job_id != get_job(act.session, number).id:
            raise RuleBroken("That stage belongs to another job. Go back and look at this one again.")
        service(act)
        return Done(_plan_of(number), said)

    return doing


@blueprint.post("/<int:number>/plan/<int:stage_id>/strike")
@needs("jobs", "change")
def strike_out(number: int, stage_id: int) -> Answer:
    doing = _doing(number, stage_id, "Removed.", lambda act: strike_stage(act, stage_id))
    return remove_by_press(number, doing, lambda act: f"“{get_stage(act.session, stage_id).name}”", _plan_of(number))


@blueprint.post("/<int:number>/plan/<int:stage_id>/restore")
@needs("jobs", "change")
def restore(number: int, stage_id: int) -> Response:
    return _press(number, stage_id, "Restored.", lambda act: restore_stage(act, stage_id))


@blueprint.post("/<int:number>/plan/<int:stage_id>/move")
@needs("jobs", "change")
def move(number: int, stage_id: int) -> Response:
    by = 1 if request.form.get("by") == "1" else -1
    return _press(number, stage_id, "Moved.", lambda act: move_stage(act, stage_id, by))
