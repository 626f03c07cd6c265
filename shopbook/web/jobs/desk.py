"""What the desk does with a job: books it in, checks it in, gives it days, changes what it is about, cancels it."""

from flask import request, url_for

from shopbook.queries.customers import get_customer, get_vehicle
from shopbook.queries.jobs.jobs import get_job
from shopbook.queries.money.owed import stands_on
from shopbook.services.jobs.doing import refuse_over
from shopbook.services.jobs.jobs import call_off, change_job, check_in, keep_desk_facts, plan_days
from shopbook.services.jobs.kerb import book_car_in
from shopbook.services.jobs.whose import name_who_and_car
from shopbook.trade.customer_kinds import CustomerKind
from shopbook.web.jobs.forms import BookInForm, CallOffForm, DaysForm, DeskFactsForm, JobForm
from shopbook.web.jobs.known import offered, pointed_at, refuse_unsaid
from shopbook.web.jobs.routes import blueprint
from shopbook.web.jobs.show import page_of
from shopbook.web.parts import Act, Answer, Done, act_by_form, as_key, choices, needs, reader, shop_now
from shopbook.web.parts.rows import Customer


@blueprint.route("/book-in", methods=["GET", "POST"])
@needs("jobs", "change")
def book_in() -> Answer:
    vehicle_id = request.args.get("vehicle", type=as_key)
    vehicle = get_vehicle(reader(), vehicle_id) if vehicle_id else None
    owner_id = request.args.get("owner", type=as_key) or (vehicle.customer_id if vehicle else None)
    customer = get_customer(reader(), owner_id) if owner_id else None
    form = _book_in_form(customer)
    whose = (owner_id, vehicle_id) if vehicle is not None or customer is not None else None
    known = {} if whose else offered(form.who.data or "")

    def add(act: Act) -> Done:
        given = form.clean()
        refuse_unsaid(form, known)
        of = whose or pointed_at(given.pop("known"), known)
        job = book_car_in(act, whose=of, **{word: given[word] for word in given if word != "known"})
        return Done(page_of(job.number), "Booked in. Add the damage next.")

    return act_by_form(form, "jobs/book_in.html", add, vehicle=vehicle, customer=customer, known=known)


def _book_in_form(customer: Customer | None) -> BookInForm:
    """The form as it was sent, as its page asks while it is filled in, or with who usually pays for this customer."""
    if request.method == "GET" and "who" in request.args:
        return BookInForm(request.args)
    kind = customer.kind if customer is not None and customer.kind != CustomerKind.INSURER else CustomerKind.PRIVATE
    return BookInForm(data={"payer_kind": kind})


@blueprint.route("/<int:number>/check-in", methods=["GET", "POST"], endpoint="check_in")
@needs("jobs", "change")
def check_in_page(number: int) -> Answer:
    job = get_job(reader(), number)
    form = DeskFactsForm(obj=job)
    form.place_id.choices = choices({0: "not set"} | {each.id: each.name for each in shop_now().places})
    is_first = job.came_at is None
    if job.vehicle is not None:
        del form.car, form.plate, form.same_car

    def keep(act: Act) -> Done:
        facts = form.clean() | {"place_id": form.place_id.data or None}
        said = {name: facts.pop(name) for name in ("car", "plate", "same_car") if name in facts}
        if said.get("car") or said.get("plate"):
            named = name_who_and_car(act, job.id, revision=facts["revision"], **said)
            facts["revision"] = named.revision
        (check_in if is_first else keep_desk_facts)(act, job.id, **facts)
        return Done(page_of(number), "Checked in." if is_first else "Saved.")

    return act_by_form(form, "jobs/check_in.html", keep, job=job, is_first=is_first)


@blueprint.route("/<int:number>/days", methods=["GET", "POST"])
@needs("jobs", "change")
def days(number: int) -> Answer:
    job = get_job(reader(), number)
    refuse_over(job)
    form = DaysForm(obj=job)

    def keep(act: Act) -> Done:
        given = form.clean()
        plan_days(act, job.id, *(given[each] for each in _DAYS))
        return Done(page_of(number), "Saved.")

    return act_by_form(form, "jobs/days.html", keep, job=job)


_DAYS = ("drop_off_on", "drop_off_half", "promise_on", "promise_half")


@blueprint.route("/<int:number>/change", methods=["GET", "POST"])
@needs("jobs", "change")
def change(number: int) -> Answer:
    job = get_job(reader(), number)
    form = JobForm(obj=job)

    def keep(act: Act) -> Done:
        owner, car = job.customer_id, job.vehicle_id
        change_job(act, job.id, customer_id=owner, vehicle_id=car, **form.clean())
        return Done(page_of(number), "Saved.")

    return act_by_form(form, "jobs/change.html", keep, job=job)


@blueprint.route("/<int:number>/call-off", methods=["GET", "POST"], endpoint="call_off")
@needs("jobs", "change")
def call_off_page(number: int) -> Answer:
    job = get_job(reader(), number)
    form = CallOffForm()
    paid_minor = stands_on(shop_now(), [job.id])[job.id].paid_minor

    def keep(act: Act) -> Done:
        call_off(act, job.id, form.clean()["why"])
        return Done(
            page_of(number, "money") if paid_minor else url_for("jobs.ledger"), f"Job {number} is {{cancelled}}."
        )

    return act_by_form(form, "jobs/call_off.html", keep, job=job, paid_minor=paid_minor)
