"""Counting stock shelf by shelf, in packs and quarters; what was left alone is not counted."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from flask import request, url_for
from sqlalchemy.orm import Session
from wtforms import Form

from shopbook.queries.shelf.materials import get_material, list_materials
from shopbook.services.shelf.counts import count_materials
from shopbook.trade.measures.amounts import divide_half_away
from shopbook.web.parts import Act, Answer, Done, act_by_form, as_key, key_or_none, needs, reader
from shopbook.web.parts.rows import Material
from shopbook.web.shelf.forms import CountForm
from shopbook.web.shelf.routes import blueprint

FEW = 8
"""So many materials stand open; of more each rack folds."""


@blueprint.route("/count", methods=["GET", "POST"])
@needs("shelf", "use")
def count() -> Answer:
    words = request.args.get("q", "").strip()
    found = sorted(list_materials(reader(), words), key=lambda one: (not one.shelf_place, one.shelf_place.casefold()))
    only = request.args.get("material", type=as_key)
    found = [one for one in found if only in (None, one.id)]
    form = CountForm(data={"lines": [{"material_id": str(one.id)} for one in found]})

    def keep(act: Act) -> Done:
        seen = _seen(act.session, form)
        count_materials(act, seen)
        return Done(url_for("shelf.materials"), f"Counted: {len(seen)} material{'s' if len(seen) != 1 else ''}.")

    shelves = _by_place(found, form, is_open=bool(words or only) or len(found) <= FEW)
    return act_by_form(form, "shelf/count.html", keep, shelves=shelves, q=words)


@dataclass(frozen=True, slots=True)
class Rack:
    """The materials of one place with their lines of the form; `counted` of them the book can be right about."""

    place: str
    pairs: Sequence[tuple[Material, Form]]
    counted: int
    is_open: bool


def _by_place(found: Sequence[Material], form: CountForm, *, is_open: bool) -> list[Rack]:
    """Materials with their lines of the form, by the place where they stand; one that was typed in stands open."""
    lines = {entry.form.material_id.data: entry.form for entry in form.lines}
    pairs = [(one, lines[str(one.id)]) for one in found if str(one.id) in lines]
    return [
        _rack(place, list(group), is_open=is_open)
        for place, group in groupby(pairs, key=lambda pair: pair[0].shelf_place)
    ]


def _rack(place: str, pairs: Sequence[tuple[Material, Form]], *, is_open: bool) -> Rack:
    is_touched = any(line.errors or line.packs.data is not None or line.is_as_booked.data for _, line in pairs)
    return Rack(place, pairs, sum(_is_known(one) for one, _ in pairs), is_open or is_touched)


def _is_known(material: Material) -> bool:
    """Whether what the book says of it can be right."""
    return material.is_counted and material.on_hand_thousandths >= 0


def _seen(session: Session, form: CountForm) -> list[tuple[int, int]]:
    """What was touched, in thousandths of each material's unit; a figure goes before “as the book says”."""
    seen = []
    for entry in form.lines:
        line = entry.form
        key = key_or_none(line.material_id.data)
        is_said = line.packs.data is not None or line.quarters.data
        if key is None or not (is_said or line.is_as_booked.data or form.racks.data):
            continue
        material = get_material(session, key)
        is_right = line.is_as_booked.data or (material.shelf_place in form.racks.data and _is_known(material))
        if not (is_said or is_right):
            continue
        quarters = (line.packs.data or 0) + int(line.quarters.data or 0)
        looked = divide_half_away(material.pack_thousandths * quarters, 4)
        seen.append((material.id, looked if is_said else material.on_hand_thousandths))
    return seen
