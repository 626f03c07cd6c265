"""Entering a delivery, from an order or on its own, line by line."""

from collections.abc import Mapping

from flask import flash, render_template, request, url_for

from shopbook.queries.shelf.deliveries import get_delivery, list_delivered
from shopbook.queries.shelf.materials import list_materials
from shopbook.queries.shelf.orders import Order, get_order, list_on_the_way
from shopbook.services.shelf.deliveries import Came, TakenIn, take_in_delivery
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.amounts import divide_half_away
from shopbook.web.parts import Act, Answer, Done, act_by_form, as_key, key_or_none, money, needs, reader
from shopbook.web.shelf.forms import DeliveredForm, DeliveryForm
from shopbook.web.shelf.routes import blueprint

MORE_LINES = 4


@blueprint.route("/deliver", methods=["GET", "POST"])
@needs("shelf", "order")
def deliver() -> Answer:
    order_id = request.args.get("order", type=as_key)
    order = get_order(reader(), order_id) if order_id else None
    materials = list_materials(reader())
    names = {one.id: one.name for one in materials}
    form = DeliveryForm(data=_prefilled(order, request.args.get("material", type=as_key)), materials=names)
    spoils = {one.id for one in materials if one.shelf_life_days or one.opened_life_days}
    context = {"order": order, "spoils": spoils, "open_orders": [] if order else list_on_the_way(reader())}
    if "more" in request.form:
        return _with_more_lines(form, context)

    def take_in(act: Act) -> Done:
        taken = _take_in(act, order_id, form)
        return Done(url_for("shelf.delivery", delivery_id=taken.delivery.id), _said(taken))

    return act_by_form(form, "shelf/deliver.html", take_in, **context)


def _take_in(act: Act, order_id: int | None, form: DeliveryForm) -> TakenIn:
    return take_in_delivery(
        act,
        order_id=order_id,
        lines=_lines(form),
        supplier_id=form.supplier_id.data or None,
        note_number=form.note_number.data or "",
        freight_minor=form.freight.data or 0,
        on=form.on.data,
    )


def _with_more_lines(form: DeliveryForm, context: Mapping[str, object]) -> str:
    for _ in range(MORE_LINES):
        if len(form.lines) < (form.lines.max_entries or 60):
            form.lines.append_entry()
    form.offer()
    return render_template("shelf/deliver.html", form=form, **context)


def _prefilled(order: Order | None, material_id: int | None) -> Mapping[str, object]:
    """What is still to come of an order, at the prices it was sent with; or one material that was chosen."""
    if order is None:
        return {"lines": [{"material_id": material_id}]} if material_id else {}
    lines = [
        {
            "order_line_id": str(one.line.id),
            "material_id": one.material.id,
            "packs": one.open_quarters,
            "cost": divide_half_away((one.line.pack_price_minor or 0) * one.open_quarters, 4) or None,
        }
        for one in order.lines
        if one.open_thousandths
    ]
    return {"supplier_id": order.order.supplier_id or 0, "lines": lines}


def _lines(form: DeliveryForm) -> list[Came]:
    """The lines that were filled in; a half-filled one is said beside its own field."""
    lines = [entry.form for entry in form.lines if entry.form.material_id.data]
    # Of an order's line whose packs were cleared or set to zero nothing came.
    return [_came(line) for line in lines if line.packs.data or not line.order_line_id.data]


def _came(line: DeliveredForm) -> Came:
    for field, sentence in ((line.packs, "Enter how many packs came."), (line.cost, "Enter what the line cost.")):
        if field.data is None or (field is line.packs and field.data == 0):
            field.errors = [*field.errors, sentence]
            raise RuleBroken("One line is not complete. Fill in its packs and cost.")
    return Came(
        material_id=line.material_id.data,
        packs_quarters=line.packs.given,
        cost_minor=line.cost.given,
        mark=line.mark.data or "",
        expires_on=line.expires_on.data,
        order_line_id=key_or_none(line.order_line_id.data),
    )


def _said(taken: TakenIn) -> str:
    for price in taken.new_prices:
        before = f", was {money(price.before_minor)}" if price.before_minor is not None else ""
        flash(f"{price.material_name}: {price.pack_name} now costs {money(price.now_minor)}{before}.", "warn")
    return "Delivery saved. The order is complete." if taken.is_order_closed else "Delivery saved."


@blueprint.get("/deliveries/<int:delivery_id>")
@needs("shelf", "order")
def delivery(delivery_id: int) -> str:
    found = get_delivery(reader(), delivery_id)
    return render_template(
        "shelf/delivery.html", delivery=found, lines=list_delivered(reader(), delivery_id=delivery_id, limit=100)[::-1]
    )
