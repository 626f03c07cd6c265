"""What was removed from a job stands under Removed, with what restoring it changes, and comes back by one press."""

from collections.abc import Callable

from flask import render_template
from werkzeug.wrappers import Response

from shopbook.queries.jobs.jobs import get_job
from shopbook.queries.jobs.removed import list_removed
from shopbook.services.jobs.plans import restore_stage
from shopbook.services.jobs.restoring import restore_damage, restore_part, restore_picture
from shopbook.trade.errors import NotFound
from shopbook.web.jobs.routes import blueprint
from shopbook.web.jobs.show import page_of
from shopbook.web.parts import Act, Done, act_by_press, needs, reader, shop_now

Service = Callable[[Act, int], object]
_SERVICES: dict[str, tuple[Service, str]] = {
    "stages": (restore_stage, "Restored. Set its hours and place in the plan."),
    "damages": (restore_damage, "Restored. The plan is updated."),
    "parts": (restore_part, "Restored."),
    "pictures": (restore_picture, "Restored."),
}


@blueprint.get("/<int:number>/removed")
@needs("jobs", "change")
def removed(number: int) -> str:
    job = get_job(reader(), number)
    return render_template("jobs/removed.html", job=job, found=list_removed(shop_now(), job))


@blueprint.post("/<int:number>/removed/<any(stages, damages, parts, pictures):what>/<int:key>")
@needs("jobs", "change")
def bring_back(number: int, what: str, key: int) -> Response:
    service, said = _SERVICES[what]

    def doing(act: Act) -> Done:
        found = list_removed(shop_now(), get_job(act.session, number))
        rows = [row.damage for row in found.damages] if what == "damages" else getattr(found, what)
        if key not in {row.id for row in rows}:
            raise NotFound("That is no longer removed. Look at the job again.")
        service(act, key)
        return Done(page_of(number), said)

    return act_by_press(doing, page_of(number))
