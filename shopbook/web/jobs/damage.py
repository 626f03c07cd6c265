"""Damage is added, changed and removed; the gauge's readings are kept."""

from collections.abc import Mapping
from dataclasses import dataclass

from flask import request

from shopbook.queries.jobs.damage import get_damage, list_damages
from shopbook.queries.jobs.jobs import get_job
from shopbook.services.jobs.damage import LISTS, add_damage, add_reading, as_asked, change_damage, strike_damage
from shopbook.services.jobs.doing import refuse_over
from shopbook.services.jobs.drafting import follow_damage
from shopbook.trade.car.damage import ASKED_OF
from shopbook.trade.catalogue.kinds import Substrate
from shopbook.trade.errors import NotFound
from shopbook.trade.measures.amounts import divide_half_away
from shopbook.trade.planning.clear_stop import has_no_gap
from shopbook.trade.planning.work import touching
from shopbook.web.jobs.forms import DamageForm, ReadingForm, panel_choices
from shopbook.web.jobs.removing import remove_by_press
from shopbook.web.jobs.routes import blueprint
from shopbook.web.jobs.show import page_of
from shopbook.web.parts import Act, Answer, Cleaned, Done, act_by_form, country, needs, reader, shop_now
from shopbook.web.parts.rows import Damage

STRIP_FIRST = "That is thicker than paint. Draft the plan again, so that it strips old filler before pulling metal."
_LENGTHS = ("length_mm", "width_mm", "dent_class_mm")


@blueprint.route("/<int:number>/damage/new", methods=["GET", "POST"])
@needs("jobs", "change")
def new_damage(number: int) -> Answer:
    job = get_job(reader(), number)
    refuse_over(job)
    form = DamageForm()
    _offer_panels(form)
    if request.method == "GET" and request.args.get("panel") in country().panels:
        form.panel.data = request.args["panel"]

    def add(act: Act) -> Done:
        damage = add_damage(act, job.id, **_described(form))
        follow_damage(act, job.id)
        return Done(page_of(number, "damage"), f"Saved damage {damage.number}. The plan is updated.")

    return act_by_form(form, "jobs/new_damage.html", add, job=job, shown_for=_shown_for())


@blueprint.route("/<int:number>/damage/<int:damage_id>", methods=["GET", "POST"])
@needs("jobs", "change")
def damage(number: int, damage_id: int) -> Answer:
    job, found = get_job(reader(), number), get_damage(reader(), damage_id)
    if found.job_id != job.id:
        raise NotFound("This damage is not on this job. Go back and look at the job again.")
    form = DamageForm(data=_typed(found))
    _offer_panels(form)

    def keep(act: Act) -> Done:
        change_damage(act, damage_id, **_described(form))
        follow_damage(act, job.id)
        return Done(page_of(number, "damage"), "Saved. The plan is updated.")

    return act_by_form(form, "jobs/damage.html", keep, job=job, damage=found, shown_for=_shown_for())


@blueprint.post("/<int:number>/damage/<int:damage_id>/strike")
@needs("jobs", "change")
def strike(number: int, damage_id: int) -> Answer:
    def doing(act: Act) -> Done:
        job = get_job(act.session, number)
        strike_damage(act, damage_id)
        follow_damage(act, job.id)
        return Done(page_of(number, "damage"), "Removed. The plan is updated.")

    return remove_by_press(number, doing, lambda act: _called(act, damage_id), page_of(number))


def _called(act: Act, damage_id: int) -> str:
    found = get_damage(act.session, damage_id)
    return f"damage {found.number}, {found.panel_words or country().panel(found.panel)}"


@blueprint.route("/<int:number>/reading", methods=["GET", "POST"])
@needs("jobs", "look")
def reading(number: int) -> Answer:
    job = get_job(reader(), number)
    form = ReadingForm()
    form.panel.choices = panel_choices(dict(country().panels))

    def keep(act: Act) -> Done:
        given = form.clean()
        um = (given["value"] or 0) / 1000
        add_reading(act, job.id, panel=given["panel"], spot=given["spot"], value=um)
        is_news = um > shop_now().catalogue.numbers["filler_film_um"].value and _is_pulled_there(
            act, job.id, given["panel"]
        )
        return Done(page_of(number, "coats"), f"Saved. {STRIP_FIRST}" if is_news else "Saved.")

    return act_by_form(form, "jobs/reading.html", keep, job=job)


def _is_pulled_there(act: Act, job_id: int, panel: str) -> bool:
    """Whether damage of a panel is planned otherwise once filler is known to lie there."""
    there = (each for each in list_damages(act.session, job_id) if each.panel == panel)
    return any(each.kind in ASKED_OF["was_filled"] for each in there)


def _typed(found: Damage) -> dict[str, object]:
    """A kept damage as its form holds it: lengths in thousandths of a millimetre."""
    values = {name: getattr(found, name) for name in DamageForm.KEPT}
    lengths = {name: getattr(found, name) * 1000 if getattr(found, name) else None for name in _LENGTHS}
    lists = {name: [each for each in getattr(found, name).split(",") if each] for name in LISTS}
    return values | lengths | lists


def _offer_panels(form: DamageForm) -> None:
    form.panel.choices = panel_choices(dict(country().panels))
    form.blend_into.choices = panel_choices(dict(country().panels))


@dataclass(frozen=True, slots=True)
class ShownFor:
    """For which kinds and panels a field is shown, as words that the page's module compares."""

    kinds: Mapping[str, str]
    touching: Mapping[str, str]
    no_gap: str
    plastic: str


def _shown_for() -> ShownFor:
    catalogue = shop_now().catalogue
    panels = catalogue.panels
    return ShownFor(
        kinds={name: " ".join(sorted(kinds)) for name, kinds in ASKED_OF.items()},
        touching={code: " ".join(sorted(touching(catalogue, code))) for code in panels},
        no_gap=" ".join(code for code in panels if has_no_gap(code)),
        plastic=" ".join(code for code, panel in panels.items() if panel.substrate is Substrate.PLASTIC),
    )


def _described(form: DamageForm) -> Cleaned:
    """What was typed as the service takes it: lengths in whole millimetres, a depth in whole micrometres."""
    given = form.clean()
    for name in _LENGTHS:
        given[name] = divide_half_away(given[name], 1000) if given[name] is not None else None
    for name in ("dent_class_mm", "dent_count", "chip_count"):
        given[name] = given[name] or 0
    # What was typed for another kind before it was changed says nothing of this one.
    return as_asked(given, most_chips=round(shop_now().catalogue.numbers["chips_touch_most"].value))
