"""What is bought for one job: added, ordered, come, sent back, removed."""

from collections.abc import Callable

from shopbook.queries.jobs.damage import list_damages
from shopbook.queries.jobs.jobs import get_job
from shopbook.queries.jobs.parts import get_part
from shopbook.queries.shelf.materials import list_suppliers
from shopbook.services.jobs.colour import order_colour as order_planned_colour
from shopbook.services.jobs.parts import add_part, change_part, order_part, part_came, send_part_back, strike_part
from shopbook.trade.errors import NotFound, RuleBroken
from shopbook.trade.planning.groups import WHOLE_CAR_GROUP
from shopbook.web.jobs.forms import PartForm
from shopbook.web.jobs.removing import remove_by_press
from shopbook.web.jobs.routes import blueprint
from shopbook.web.jobs.show import page_of
from shopbook.web.parts import Act, Answer, Done, act_by_form, act_by_press, choices, country, needs, reader


def _offer(form: PartForm, job_id: int) -> None:
    form.supplier_id.choices = choices({0: "not stated"} | {each.id: each.name for each in list_suppliers(reader())})
    hurt = dict.fromkeys(damage.panel for damage in list_damages(reader(), job_id))
    panels = {code: country().panel(code).capitalize() for code in hurt}
    form.quote_group_key.choices = choices({WHOLE_CAR_GROUP: "The whole car"} | panels)


@blueprint.route("/<int:number>/parts/new", methods=["GET", "POST"])
@needs("jobs", "change")
def new_part(number: int) -> Answer:
    job = get_job(reader(), number)
    form = PartForm()
    _offer(form, job.id)

    def add(act: Act) -> Done:
        given = form.clean()
        given["group_key"] = given.pop("quote_group_key")
        given["supplier_id"] = given["supplier_id"] or None
        given["cost_minor"] = given["cost_minor"] or 0
        add_part(act, job.id, **given)
        return Done(page_of(number, "parts"), "Added.")

    return act_by_form(form, "jobs/part.html", add, job=job, part=None)


@blueprint.route("/<int:number>/parts/<int:part_id>", methods=["GET", "POST"])
@needs("jobs", "change")
def part(number: int, part_id: int) -> Answer:
    job, found = get_job(reader(), number), get_part(reader(), part_id)
    if found.job_id != job.id:
        raise NotFound("This part is not on this job. Go back and look at the job again.")
    form = PartForm(obj=found)
    _offer(form, job.id)

    def keep(act: Act) -> Done:
        given = form.clean()
        given["supplier_id"] = given["supplier_id"] or None
        given["cost_minor"] = given["cost_minor"] or 0
        change_part(act, part_id, **given)
        return Done(page_of(number, "parts"), "Saved.")

    return act_by_form(form, "jobs/part.html", keep, job=job, part=found)


Service = Callable[..., object]
_PRESSES: dict[str, tuple[Service, str]] = {
    "order": (order_part, "Saved as ordered."),
    "came": (part_came, "Saved as arrived."),
    "back": (send_part_back, "Saved."),
    "strike": (strike_part, "Removed."),
}


@blueprint.post("/<int:number>/parts/<int:part_id>/<any(order, came, back, strike):what>")
@needs("jobs", "change")
def part_press(number: int, part_id: int, what: str) -> Answer:
    service, said = _PRESSES[what]

    def doing(act: Act) -> Done:
        if get_part(act.session, part_id).job_id != get_job(act.session, number).id:
            raise RuleBroken("That part belongs to another job. Go back and look at this one again.")
        service(act, part_id)
        return Done(page_of(number, "parts"), said)

    if what == "strike":
        return remove_by_press(number, doing, lambda act: get_part(act.session, part_id).name, page_of(number, "parts"))
    return act_by_press(doing, page_of(number, "parts"))


@blueprint.post("/<int:number>/colour/<role>")
@needs("jobs", "change")
def order_colour(number: int, role: str) -> Answer:
    def doing(act: Act) -> Done:
        order_planned_colour(act, get_job(act.session, number).id, role)
        return Done(page_of(number, "parts"), "Saved as ordered.")

    return act_by_press(doing, page_of(number, "parts"))
