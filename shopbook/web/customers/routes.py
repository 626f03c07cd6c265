"""Customers and vehicles: listed, shown, added, changed, erased on request."""

from flask import Blueprint, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from shopbook.documents.faces import refuse_unprintable
from shopbook.queries.customers import find_other_of_plate, get_customer, get_vehicle, list_customers, name_on_papers
from shopbook.queries.shop.log import list_subject_log
from shopbook.services.act import Act
from shopbook.services.customers import add_customer, add_vehicle, ask_about_plate, change_customer, change_vehicle
from shopbook.services.jobs.whose import erase_with_visits
from shopbook.trade.billing.exempt import exemption_from_json
from shopbook.trade.car.same_car import SameCar
from shopbook.trade.car.vin import examine_vin
from shopbook.trade.customer_kinds import CustomerKind
from shopbook.trade.errors import NotFound, RuleBroken
from shopbook.trade.search_keys import plate_key
from shopbook.web.customers.certificate import CertificatePhoto
from shopbook.web.customers.forms import FINISH_WORDS, CustomerForm, VehicleForm, exempt_data
from shopbook.web.parts.act import Answer, Done, act_by_form, reader, today
from shopbook.web.parts.forms import Cleaned
from shopbook.web.parts.guards import needs
from shopbook.web.parts.keys import as_key
from shopbook.web.parts.leading import safe_path
from shopbook.web.parts.photos import serve_picture
from shopbook.web.parts.presses import Presses
from shopbook.web.parts.rows import Customer, Vehicle
from shopbook.web.parts.sections import Page, sections_of

blueprint = Blueprint("customers", __name__, url_prefix="/customers")
PAGE = 50


@blueprint.get("/")
@needs("customers", "see")
def ledger() -> str:
    after = request.args.get("after", ""), request.args.get("id", 0, type=as_key)
    found = list_customers(reader(), after=after, limit=PAGE + 1)
    last = found[PAGE - 1] if len(found) > PAGE else None
    return render_template("customers/ledger.html", customers=found[:PAGE], last=last)


@blueprint.get("/<int:customer_id>")
@needs("customers", "see")
def show(customer_id: int) -> Answer:
    customer = get_customer(reader(), customer_id)
    if customer.id != customer_id:
        return redirect(url_for("customers.show", customer_id=customer.id))
    return render_template(
        "customers/show.html",
        customer=customer,
        exemption=exemption_from_json(customer.exemption),
        today=today(),
        log=list_subject_log(reader(), "customer", customer_id),
        sections=sections_of(reader(), customer, Page.CUSTOMER),
    )


@blueprint.route("/new", methods=["GET", "POST"])
@needs("customers", "change")
def new() -> Answer:
    form = CustomerForm(data={"kind": request.args.get("kind", CustomerKind.PRIVATE)})
    then, photo = safe_path(request.args.get("then")), CertificatePhoto()

    def add(act: Act) -> Done:
        customer = add_customer(act, **_without_revision(photo.clean(form)))
        return Done(then or url_for("customers.show", customer_id=customer.id), "Saved.")

    return act_by_form(form, "customers/new.html", add, kept=photo.carried)


@blueprint.route("/<int:customer_id>/change", methods=["GET", "POST"])
@needs("customers", "change")
def change(customer_id: int) -> Answer:
    customer, then = get_customer(reader(), customer_id), safe_path(request.args.get("then"))
    form, photo = CustomerForm(obj=customer, **exempt_data(customer)), CertificatePhoto()
    form.has_photo = bool(customer.exemption.get("picture"))
    if then and request.method == "GET":
        _ask_printed_name(form, customer)

    def keep(act: Act) -> Done:
        change_customer(act, customer_id, **photo.clean(form, customer))
        return Done(then or url_for("customers.show", customer_id=customer_id), "Saved.")

    return act_by_form(form, "customers/change.html", keep, customer_id=customer_id, kept=photo.carried)


def _ask_printed_name(form: CustomerForm, customer: Customer) -> None:
    """Where a paper led here, because it cannot print the name, it is said beside the field."""
    try:
        refuse_unprintable(name_on_papers(customer), field="printed_name", what="the name")
    except RuleBroken as broken:
        form.refuse(broken)


@blueprint.get("/<int:customer_id>/certificate")
@needs("customers", "see")
def certificate(customer_id: int) -> Response:
    """The photo of a certificate, small with ?small=yes."""
    kept = exemption_from_json(get_customer(reader(), customer_id).exemption)
    if kept is None or not kept.picture:
        raise NotFound("There is no photo of this certificate.")
    return serve_picture(kept.thumbnail if "small" in request.args else kept.picture)


ERASED = "Erased. Papers the law requires stay as issued."
on_customer = Presses(
    blueprint, "customers", "erase", lambda customer_id: url_for("customers.show", customer_id=customer_id)
)
on_customer.add(
    "/<int:customer_id>/erase", "erase", erase_with_visits, ERASED, lambda customer_id: url_for("customers.ledger")
)


@blueprint.route("/vehicles/new", methods=["GET", "POST"])
@needs("customers", "change")
def new_vehicle() -> Answer:
    owner = request.args.get("owner", type=as_key)
    customer = get_customer(reader(), owner) if owner else None
    form = VehicleForm()

    def add(act: Act) -> Done:
        vehicle = _known_car(act, form, owner)
        if vehicle is None:
            vehicle = add_vehicle(act, customer_id=owner, **_without_revision(form.words()))
        return Done(url_for("customers.vehicle", vehicle_id=vehicle.id), "Saved.")

    return act_by_form(form, "customers/new_vehicle.html", add, customer=customer)


def _known_car(act: Act, form: VehicleForm, owner: int | None) -> Vehicle | None:
    """The car of that plate where it is said to be the same one: the customer's from now on. RuleBroken asks."""
    if form.same_car.data != SameCar.SAME:
        if form.same_car.data != SameCar.ANOTHER:
            ask_about_plate(act.session, form.plate.data or "")
        return None
    known = find_other_of_plate(act.session, form.plate.data or "")
    if known is None or owner is None:
        return known
    return change_vehicle(act, known.id, revision=known.revision, customer_id=owner)


@blueprint.get("/vehicles/<int:vehicle_id>")
@needs("customers", "see")
def vehicle(vehicle_id: int) -> str:
    found = get_vehicle(reader(), vehicle_id)
    sections = sections_of(reader(), found, Page.CAR)
    return render_template(
        "customers/vehicle.html", vehicle=found, vin=examine_vin(found.vin), sections=sections, finishes=FINISH_WORDS
    )


@blueprint.route("/vehicles/<int:vehicle_id>/change", methods=["GET", "POST"])
@needs("customers", "change")
def change_car(vehicle_id: int) -> Answer:
    found = get_vehicle(reader(), vehicle_id)
    form = VehicleForm(obj=found)
    if request.method == "GET" and request.args.get("vin"):
        form.vin.data = request.args["vin"][:200]

    def keep(act: Act) -> Done:
        other = find_other_of_plate(act.session, form.plate.data or "", vehicle_id)
        if other is not None and form.same_car.data == SameCar.SAME:
            return Done(url_for("customers.vehicle", vehicle_id=other.id), "Nothing changed. This car has that plate.")
        if plate_key(form.plate.data or "") != plate_key(found.plate) and form.same_car.data != SameCar.ANOTHER:
            ask_about_plate(act.session, form.plate.data or "", besides=vehicle_id)
        change_vehicle(act, vehicle_id, **form.words())
        return Done(url_for("customers.vehicle", vehicle_id=vehicle_id), "Saved.")

    return act_by_form(form, "customers/change_car.html", keep, vehicle=found)


def _without_revision(values: Cleaned) -> Cleaned:
    return {name: value for name, value in values.items() if name != "revision"}
