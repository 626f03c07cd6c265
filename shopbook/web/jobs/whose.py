"""Said after a job was opened: who brings the car, and which car it is."""

from flask import request

from shopbook.queries.customers import get_customer
from shopbook.queries.jobs.jobs import get_job
from shopbook.services.jobs.whose import name_who_and_car
from shopbook.web.jobs.forms import WhoseForm
from shopbook.web.jobs.known import cars_of, offered, pointed_at, refuse_unsaid
from shopbook.web.jobs.routes import blueprint
from shopbook.web.jobs.show import page_of
from shopbook.web.parts import Act, Answer, Done, act_by_form, needs, reader


@blueprint.route("/<int:number>/whose", methods=["GET", "POST"])
@needs("jobs", "change")
def whose(number: int) -> Answer:
    job = get_job(reader(), number)
    form = WhoseForm(request.args) if request.method == "GET" and "who" in request.args else WhoseForm(obj=job)
    owner = get_customer(reader(), job.customer_id) if job.customer_id else None
    known = cars_of(owner) if owner else offered(form.who.data or "")

    def keep(act: Act) -> Done:
        if owner is None:
            refuse_unsaid(form, known)
        said = {name: value for name, value in form.clean().items() if name != "known"}
        chosen = pointed_at(form.known.data or "", known)
        name_who_and_car(act, job.id, whose=chosen, **said)
        return Done(page_of(number), "Saved.")

    return act_by_form(form, "jobs/whose.html", keep, job=job, known=known)
