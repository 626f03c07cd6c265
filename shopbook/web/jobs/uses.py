"""What a stage uses, by hand: a mix changed as a whole, a material added or removed."""

from flask import url_for
from werkzeug.wrappers import Response

from shopbook.queries.jobs.jobs import get_job
from shopbook.queries.jobs.mixes import PlannedMix, materials_of_uses, planned_mixes
from shopbook.queries.jobs.plans import get_stage, last_version
from shopbook.queries.shelf.materials import get_material, list_materials
from shopbook.services.jobs.doing import refuse_over
from shopbook.services.jobs.uses import add_use, change_mix, remove_use
from shopbook.trade.errors import NotFound, RuleBroken
from shopbook.trade.measures.quantities import parse_quantity
from shopbook.trade.measures.units import Unit
from shopbook.trade.planning.remixing import MixChange
from shopbook.web.jobs.forms import MixChangeForm, NewUseForm, WeighedMixForm
from shopbook.web.jobs.routes import blueprint
from shopbook.web.parts import Act, Answer, Done, act_by_form, act_by_press, choices, needs, reader, shop_now
from shopbook.web.parts.rows import Job, Stage


def _stage_of(number: int, stage_id: int) -> tuple[Job, Stage]:
    job, stage = get_job(reader(), number), get_stage(reader(), stage_id)
    if stage.job_id != job.id:
        raise NotFound("This stage is not in this plan. Go back and look at the plan again.")
    refuse_over(job)
    return job, stage


def _back(number: int, stage_id: int) -> str:
    return url_for("jobs.stage", number=number, stage_id=stage_id)


def _mixes(stage: Stage) -> list[PlannedMix]:
    return planned_mixes(stage, materials_of_uses(reader(), [stage]), shop_now().catalogue)


@blueprint.route("/<int:number>/plan/<int:stage_id>/mixes/<code>", methods=["GET", "POST"])
@needs("jobs", "change")
def mix(number: int, stage_id: int, code: str) -> Answer:
    job, stage = _stage_of(number, stage_id)
    found = next((each for each in _mixes(stage) if each.code == code), None)
    if found is None:
        raise NotFound("That stage has no such mix. Look at the plan again.")
    form = _form_of(job, found)

    def keep(act: Act) -> Done:
        change = _change(form, found)
        changed = change_mix(act, stage_id, code, change, form.why.data or "", form.version.data)
        materials = materials_of_uses(act.session, [changed])
        now_mixes = planned_mixes(changed, materials, shop_now().catalogue)
        said = [words for each in now_mixes if each.code == code for words in each.warnings]
        return Done(_back(number, stage_id), " ".join(["Saved.", *said]))

    return act_by_form(form, "jobs/mix.html", keep, job=job, stage=stage, mix=found)


def _form_of(job: Job, mix: PlannedMix) -> MixChangeForm:
    made = WeighedMixForm if mix.is_by_weight else MixChangeForm
    return made(
        data={
            "total": mix.total_thousandths,
            "ratio": mix.ratio.removesuffix(" by weight"),
            "coats": mix.coats or None,
            "area": _area(mix),
            "version": last_version(reader(), job.id),
        }
    )


def _area(mix: PlannedMix) -> int | None:
    """Thousandths of m²; None where the plan does not know it."""
    return mix.area_cm2 // 10 or None


def _change(form: MixChangeForm, mix: PlannedMix) -> MixChange:
    """What was typed otherwise than the page showed it."""
    total, coats, area = form.total.data, form.coats.data, form.area.data
    ratio = (form.ratio.data or "").strip()
    shown = mix.ratio.removesuffix(" by weight")
    return MixChange(
        total_thousandths=total if total != mix.total_thousandths else None,
        ratio=ratio if ratio and ratio != shown else None,
        coats=coats if coats and coats != mix.coats else None,
        area_cm2=area * 10 if area is not None and area != _area(mix) else None,
    )


@blueprint.route("/<int:number>/plan/<int:stage_id>/materials/new", methods=["GET", "POST"])
@needs("jobs", "change")
def new_use(number: int, stage_id: int) -> Answer:
    job, stage = _stage_of(number, stage_id)
    form = NewUseForm()
    form.material_id.choices = choices({one.id: f"{one.name}, {_unit(one.unit)}" for one in list_materials(reader())})
    form.mix.choices = choices({"": "no mix"} | {each.code: each.name for each in _mixes(stage)})

    def add(act: Act) -> Done:
        unit = shop_now().units.shown(Unit(get_material(act.session, form.material_id.data).unit))
        add_use(act, stage_id, form.material_id.data, _amount(form, unit), mix=form.mix.data, why=form.why.data or "")
        return Done(_back(number, stage_id), "Added.")

    return act_by_form(form, "jobs/new_use.html", add, job=job, stage=stage)


def _unit(stored: str) -> str:
    shown = shop_now().units.shown(Unit(stored))
    return "by the piece" if shown is Unit.PIECE else shown.value


def _amount(form: NewUseForm, unit: Unit) -> int:
    try:
        return parse_quantity(form.amount.data or "", unit, locale=shop_now().units.locale)
    except RuleBroken as broken:
        raise RuleBroken(broken.sentence, "amount") from broken


@blueprint.post("/<int:number>/plan/<int:stage_id>/materials/<int:use_id>/remove")
@needs("jobs", "change")
def remove_material(number: int, stage_id: int, use_id: int) -> Response:
    def remove(act: Act) -> Done:
        if get_stage(act.session, stage_id).job_id != get_job(act.session, number).id:
            raise RuleBroken("That stage belongs to another job. Go back and look at this one again.")
        if remove_use(act, use_id).id != stage_id:
            raise RuleBroken("That material belongs to another stage. Go back and look at this one again.")
        return Done(_back(number, stage_id), "Removed.")

    return act_by_press(remove, _back(number, stage_id))
