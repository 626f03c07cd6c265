"""Suppliers: listed, added, changed."""

from flask import render_template, url_for

from shopbook.queries.shelf.materials import get_supplier, list_suppliers
from shopbook.services.shelf.materials import add_supplier, change_supplier
from shopbook.web.parts import Act, Answer, Done, act_by_form, needs, reader
from shopbook.web.shelf.forms import SupplierForm
from shopbook.web.shelf.routes import blueprint


@blueprint.get("/suppliers")
@needs("shelf", "order")
def suppliers() -> str:
    return render_template("shelf/suppliers.html", suppliers=list_suppliers(reader(), is_everybody=True))


@blueprint.route("/suppliers/new", methods=["GET", "POST"])
@needs("shelf", "order")
def new_supplier() -> Answer:
    form = SupplierForm()

    def add(act: Act) -> Done:
        values = form.clean()
        add_supplier(act, name=values["name"], phone=values["phone"], mail=values["mail"], lead_days=_days(form))
        return Done(url_for("shelf.suppliers"), "Saved.")

    return act_by_form(form, "shelf/new_supplier.html", add)


@blueprint.route("/suppliers/<int:supplier_id>", methods=["GET", "POST"])
@needs("shelf", "order")
def supplier(supplier_id: int) -> Answer:
    form = SupplierForm(obj=get_supplier(reader(), supplier_id))

    def keep(act: Act) -> Done:
        change_supplier(act, supplier_id, **form.clean() | {"lead_days": _days(form)})
        return Done(url_for("shelf.suppliers"), "Saved.")

    return act_by_form(form, "shelf/supplier.html", keep)


def _days(form: SupplierForm) -> int:
    return 1 if form.lead_days.data is None else form.lead_days.data
