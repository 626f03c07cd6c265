"""Stock that leaves for no job: waste, goods returned; and a delivery's price corrected."""

from datetime import date

from flask import render_template, url_for

from shopbook.queries.shelf.deliveries import get_delivery, get_delivery_line
from shopbook.queries.shelf.lots import lots_left
from shopbook.queries.shelf.materials import get_material, list_materials
from shopbook.services.postings import Source
from shopbook.services.shelf.stock import correct_price, return_to_supplier, waste_stock
from shopbook.web.parts import Act, Answer, Choices, Done, act_by_form, choices, needs, reader, today
from shopbook.web.parts.rows import Material
from shopbook.web.shelf.amounts import read_amount
from shopbook.web.shelf.forms import DeliveryPriceForm, SendBackForm, WasteForm
from shopbook.web.shelf.routes import blueprint, lot_words, quantity


@blueprint.get("/waste")
@needs("shelf", "use")
def choose_waste() -> str:
    return render_template("shelf/choose_waste.html", materials=list_materials(reader()))


@blueprint.route("/<int:material_id>/waste", methods=["GET", "POST"])
@needs("shelf", "use")
def waste(material_id: int) -> Answer:
    found = get_material(reader(), material_id)
    form = WasteForm()
    form.lot_id.choices = _lot_choices(found, today())

    def lose(act: Act) -> Done:
        kept = get_material(act.session, material_id)
        amount = read_amount(form.amount.data or "", kept.unit, kept.pack_thousandths, field="amount")
        cause = ": ".join(word for word in (form.cause.data, (form.words.data or "").strip()) if word)
        waste_stock(act, kept, amount, Source(lot_id=form.lot_id.data or None), cause=cause)
        return Done(url_for("shelf.material", material_id=material_id), _wasted(kept, amount))

    return act_by_form(form, "shelf/waste.html", lose, material=found)


@blueprint.route("/<int:material_id>/send-back", methods=["GET", "POST"])
@needs("shelf", "order")
def send_back(material_id: int) -> Answer:
    found = get_material(reader(), material_id)
    form = SendBackForm()
    form.lot_id.choices = _lot_choices(found, today())

    def give_back(act: Act) -> Done:
        kept = get_material(act.session, material_id)
        amount = read_amount(form.amount.data or "", kept.unit, kept.pack_thousandths, field="amount")
        lot_id, reason = form.lot_id.data or None, form.reason.data or ""
        return_to_supplier(act, kept, amount, form.credit.data or 0, reason=reason, lot_id=lot_id)
        return Done(
            url_for("shelf.material", material_id=material_id),
            f"{quantity(amount, kept.unit)} returned to the supplier.",
        )

    return act_by_form(form, "shelf/send_back.html", give_back, material=found)


@blueprint.route("/deliveries/lines/<int:line_id>/price", methods=["GET", "POST"])
@needs("shelf", "order")
def price(line_id: int) -> Answer:
    line = get_delivery_line(reader(), line_id)
    form = DeliveryPriceForm(data={"cost": line.cost_now_minor})

    def put_right(act: Act) -> Done:
        correct_price(act, line_id, form.cost.given, reason=form.reason.data or "")
        return Done(url_for("shelf.material", material_id=line.material_id), "Price corrected.")

    return act_by_form(
        form,
        "shelf/price.html",
        put_right,
        line=line,
        delivery=get_delivery(reader(), line.delivery_id),
        material=get_material(reader(), line.material_id),
    )


def _wasted(material: Material, amount: int) -> str:
    """What was recorded; waste beyond the book says that the figure no longer stands."""
    said = f"{quantity(amount, material.unit)} recorded as waste."
    if material.on_hand_thousandths >= 0:
        return said
    before = quantity(material.on_hand_thousandths + amount, material.unit)
    now = quantity(material.on_hand_thousandths, material.unit)
    return f"{said} The book had {before} and now says {now}: more was used than it knew of. Count {material.name}."


def _lot_choices(material: Material, day: date) -> Choices:
    lots = lots_left(reader(), material, day)
    return choices({0: "the next to be used"} | {one.lot.id: lot_words(one) for one in lots})
