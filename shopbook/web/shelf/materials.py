"""One material: shown, added, changed, retired; a pack of shop supplies opened."""

from flask import render_template, request, url_for
from werkzeug.wrappers import Response

from shopbook.queries.shelf.deliveries import list_delivered
from shopbook.queries.shelf.materials import get_material
from shopbook.queries.shelf.movements import list_movements
from shopbook.queries.shelf.sheet import get_shelf_row, say_use
from shopbook.queries.shop.log import list_subject_log
from shopbook.services.shelf.materials import add_material, bring_back_material, change_material, retire_material
from shopbook.services.shelf.stock import open_pack
from shopbook.trade.measures.quantities import quantity_for_field
from shopbook.trade.measures.units import Unit
from shopbook.web.parts import Act, Answer, Done, act_by_form, act_by_press, as_key, country, needs, reader, today
from shopbook.web.parts.presses import Presses
from shopbook.web.parts.rows import Material
from shopbook.web.shelf.forms import MaterialForm, figures_of
from shopbook.web.shelf.routes import blueprint

PAGE = 40


@blueprint.get("/<int:material_id>")
@needs("shelf", "see")
def material(material_id: int) -> str:
    lines = list_movements(reader(), material_id, before=request.args.get("before", type=as_key), limit=PAGE + 1)
    row = get_shelf_row(reader(), today(), material_id)
    return render_template(
        "shelf/material.html",
        row=row,
        material=row.material,
        said=say_use(reader(), today(), [row])[material_id],
        sheet=figures_of(row.material.sheet),
        lines=lines[:PAGE],
        next_before=lines[PAGE - 1].movement.id if len(lines) > PAGE else None,
        delivered=list_delivered(reader(), material_id=material_id, limit=8),
        log=list_subject_log(reader(), "material", material_id, 10),
    )


@blueprint.route("/new", methods=["GET", "POST"])
@needs("shelf", "change")
def new_material() -> Answer:
    form = MaterialForm()

    def add(act: Act) -> Done:
        values = form.values()
        del values["revision"]
        kept = add_material(act, **values)
        return Done(url_for("shelf.material", material_id=kept.id), "Saved. Count it or enter a delivery.")

    return act_by_form(form, "shelf/new_material.html", add)


@blueprint.route("/<int:material_id>/change", methods=["GET", "POST"])
@needs("shelf", "change")
def change(material_id: int) -> Answer:
    found = get_material(reader(), material_id)
    form = MaterialForm(obj=found, data=_shown(found))

    def keep(act: Act) -> Done:
        change_material(act, material_id, **form.values())
        return Done(url_for("shelf.material", material_id=material_id), "Saved.")

    return act_by_form(form, "shelf/change.html", keep, material=found)


def _shown(found: Material) -> dict[str, object]:
    """A material as the form's fields that are named otherwise."""
    pack = quantity_for_field(found.pack_thousandths, Unit(found.unit), country().locale)
    return figures_of(found.sheet) | {
        "pack": pack if found.unit == Unit.PIECE else f"{pack} {found.unit}",
        "pack_price": found.pack_price_minor,
        "order_at": found.order_at_quarters,
    }


on_material = Presses(
    blueprint, "shelf", "change", lambda material_id: url_for("shelf.material", material_id=material_id)
)
on_material.add(
    "/<int:material_id>/retire", "retire", retire_material, lambda kept: f"{kept.name} is removed from the lists."
)
on_material.add(
    "/<int:material_id>/bring-back",
    "bring_back",
    bring_back_material,
    lambda kept: f"{kept.name} is back on the lists.",
)


@blueprint.post("/<int:material_id>/open")
@needs("shelf", "use")
def open_one(material_id: int) -> Response:
    def spend(act: Act) -> Done:
        kept = get_material(act.session, material_id)
        open_pack(act, kept)
        return Done(url_for("shelf.materials"), f"{kept.name}: one {kept.pack_name} opened and used.")

    return act_by_press(spend, url_for("shelf.material", material_id=material_id))
