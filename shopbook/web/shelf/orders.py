"""What to order and why; orders drafted, changed, copied as text, printed, sent, closed."""

from flask import Response as FlaskResponse
from flask import render_template, request, url_for
from werkzeug.wrappers import Response

from shopbook.documents.head import Head
from shopbook.documents.order import OrderPaper, OrderRow, make_order_pdf, order_text
from shopbook.queries.shelf.deliveries import list_delivered
from shopbook.queries.shelf.orders import Order, get_order, list_closed_orders, list_open_orders
from shopbook.queries.shelf.sheet import get_shelf_row, reorder_list, say_use
from shopbook.services.shelf.orders import (
    Wanted,
    change_order_line,
    choose_supplier,
    close_order,
    draft_orders,
    send_order,
)
from shopbook.web.parts import Act, Answer, Done, act_by_form, act_by_press, as_key, needs, reader, shop_now, today
from shopbook.web.parts.frame import country, day_text
from shopbook.web.parts.presses import Presses
from shopbook.web.shelf.forms import ChooseSupplierForm, OrderLineForm, SendForm
from shopbook.web.shelf.routes import blueprint

CLOSED_PAGE = 20


@blueprint.get("/reorder")
@needs("shelf", "order")
def reorder() -> str:
    groups = reorder_list(reader(), today())
    said = say_use(reader(), today(), [row for group in groups for row in group.rows])
    return render_template("shelf/reorder.html", by_supplier=groups, said=said)


@blueprint.post("/<int:material_id>/order")
@needs("shelf", "order")
def add_to_order(material_id: int) -> Response:
    def add(act: Act) -> Done:
        row = get_shelf_row(act.session, act.day, material_id)
        wanted = Wanted(material_id, max(row.line.packs if row.line else 1, 1), row.line.why if row.line else "")
        [draft] = draft_orders(act, [wanted])
        return Done(_back(draft.id), f"{row.material.name} is on the order.")

    return act_by_press(add, url_for("shelf.material", material_id=material_id))


def _back(order_id: int) -> str:
    """Where the press came from, by the word it carried."""
    pages = {"materials": url_for("shelf.materials"), "reorder": url_for("shelf.reorder")}
    return pages.get(request.form.get("then", ""), url_for("shelf.order", order_id=order_id))


@blueprint.post("/reorder/<int:supplier_id>")
@needs("shelf", "order")
def order_all(supplier_id: int) -> Response:
    def add(act: Act) -> Done:
        wanted = [
            Wanted(row.material.id, row.line.packs, row.line.why)
            for group in reorder_list(act.session, act.day)
            if (group.supplier.id if group.supplier else 0) == supplier_id
            for row in group.rows
            if row.line
        ]
        [draft] = draft_orders(act, wanted)
        return Done(url_for("shelf.order", order_id=draft.id), "All added to the order.")

    return act_by_press(add, url_for("shelf.reorder"))


@blueprint.get("/orders")
@needs("shelf", "order")
def orders() -> str:
    before = request.args.get("before", type=as_key)
    closed = list_closed_orders(reader(), before=before, limit=CLOSED_PAGE + 1)
    standing = [] if before else list_open_orders(reader())
    return render_template(
        "shelf/orders.html",
        drafts=[order for order in standing if order.is_draft],
        on_the_way=[order for order in standing if not order.is_draft],
        closed=closed[:CLOSED_PAGE],
        next_before=closed[CLOSED_PAGE - 1].order.id if len(closed) > CLOSED_PAGE else None,
        is_first=before is None,
    )


@blueprint.route("/orders/<int:order_id>", methods=["GET", "POST"])
@needs("shelf", "order")
def order(order_id: int) -> Answer:
    """The order; its form marks it as sent."""
    found = get_order(reader(), order_id)
    form = SendForm()

    def send(act: Act) -> Done:
        sent = send_order(act, order_id, due_on=form.due_on.data)
        return Done(url_for("shelf.order", order_id=order_id), f"Order {sent.number} is sent.")

    return act_by_form(
        form,
        "shelf/order.html",
        send,
        found=found,
        text=order_text(_paper(found)),
        delivered=list_delivered(reader(), order_id=order_id),
        choose=ChooseSupplierForm(),
    )


@blueprint.get("/orders/<int:order_id>/order.pdf")
@needs("shelf", "order")
def order_pdf(order_id: int) -> FlaskResponse:
    paper = _paper(get_order(reader(), order_id))
    name = f"order-{paper.head.number or 'draft'}.pdf"
    headers = {"Content-Disposition": f'inline; filename="{name}"'}
    return FlaskResponse(make_order_pdf(paper), mimetype="application/pdf", headers=headers)


def _head(found: Order) -> Head:
    book, supplier = shop_now().book, found.supplier
    return Head(
        kind="Order" if found.order.number else "Order, not sent yet",
        number=str(found.order.number or ""),
        shop=book.shop_name,
        shop_lines=tuple(line for line in (*book.address.splitlines(), book.phone) if line),
        to=supplier.name if supplier else "Supplier not chosen",
        to_lines=tuple(line for line in (supplier.phone, supplier.mail) if line) if supplier else (),
        paper_size=book.paper_size,
    )


def _paper(found: Order) -> OrderPaper:
    row, here = found.order, country()
    return OrderPaper(
        head=_head(found),
        day=day_text(row.sent_on or today(), is_long=True),
        due=day_text(row.due_on, is_long=True) if row.due_on else "",
        rows=[
            OrderRow(
                one.line.packs,
                one.material.name,
                one.material.pack_name,
                "" if one.price_minor is None else here.money(one.price_minor, has_symbol=False),
            )
            for one in found.lines
        ],
        total=here.money(found.total_minor, has_symbol=False),
        currency=here.currency_symbol,
    )


@blueprint.route("/orders/<int:order_id>/lines/<int:line_id>", methods=["GET", "POST"])
@needs("shelf", "order")
def order_line(order_id: int, line_id: int) -> Answer:
    found = get_order(reader(), order_id)
    shown = next((one for one in found.lines if one.line.id == line_id), None)
    form = OrderLineForm(data={"packs": shown.line.packs if shown else 0})

    def keep(act: Act) -> Done:
        change_order_line(act, line_id, form.packs.data or 0)
        return Done(url_for("shelf.order", order_id=order_id), "Saved.")

    return act_by_form(form, "shelf/order_line.html", keep, found=found, shown=shown)


@blueprint.post("/orders/<int:order_id>/supplier")
@needs("shelf", "order")
def order_supplier(order_id: int) -> Response:
    form = ChooseSupplierForm()

    def choose(act: Act) -> Done:
        choose_supplier(act, order_id, form.supplier_id.data or 0)
        return Done(url_for("shelf.order", order_id=order_id), "Saved.")

    return act_by_press(choose, url_for("shelf.order", order_id=order_id))


CLOSED = "Closed. Nothing more is expected."
on_order = Presses(blueprint, "shelf", "order", lambda order_id: url_for("shelf.order", order_id=order_id))
on_order.add("/orders/<int:order_id>/close", "close", close_order, CLOSED, lambda order_id: url_for("shelf.orders"))
