"""Counting stock shelf by shelf, in packs and quarters; what was left alone is not counted."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from itertools import groupby

from flask import request, url_for
from sqlalchemy.orm import Session

from shopbook.queries.shelf.materials import get_material, list_materials
from shopbook.services.shelf.counts import count_materials
from shopbook.trade.measures.amounts import divide_half_away
from shopbook.web.parts import Act, Answer, Done, act_by_form, as_key, key_or_none, needs, reader
from shopbook.web.parts.rows import Material
from shopbook.web.shelf.forms import CountedForm, CountForm
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
    pairs: Sequence[tuple[Material, CountedForm]]
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


def _rack(place: str, pairs: Sequence[tuple[Material, CountedForm]], *, is_open: bool) -> Rack:
    is_touched = any(line.errors or line.packs.data is not None or line.is_as_booked.data for _, line in pairs)
    return Rack(place, pairs, sum(_is_known(one) for one, _ in pairs), is_open or is_touched)


def _is_known(material: Material) -> bool:
    """Whether what the book says of it can be right."""
    return material.is_counted and material.on_hand_thousandths >= 0


def _seen(session: Session, form: CountForm) -> list[tuple[int, int]]:
    """What was touched, in thousandths of each material's unit; a figure goes before “as the book says”."""
    typed = [(key_or_none(entry.form.material_id.data), entry.form) for entry in form.lines]
    materials = [(get_material(session, key), line) for key, line in typed if key is not None and _says(line, form)]
    found = [(one.id, _quantity(one, line, form.racks.data or ())) for one, line in materials]
    return [(key, quantity) for key, quantity in found if quantity is not None]


def _says(line: CountedForm, form: CountForm) -> bool:
    """Whether anything may have been said of a line, by itself or with its rack."""
    return bool(_is_typed(line) or line.is_as_booked.data or form.racks.data)


def _is_typed(line: CountedForm) -> bool:
    return line.packs.data is not None or bool(line.quarters.data)


def _quantity(material: Material, line: CountedForm, racks: Collection[str]) -> int | None:
    """What was seen of it; None where nothing was said."""
    if _is_typed(line):
        quarters = (line.packs.data or 0) + int(line.quarters.data or 0)
        return divide_half_away(material.pack_thousandths * quarters, 4)
    is_right = line.is_as_booked.data or (material.shelf_place in racks and _is_known(material))
    return material.on_hand_thousandths if is_right else None
