"""Pots left from single cars: kept, found by colour, cleared."""

from typing import Any

from flask import request, url_for
from werkzeug.wrappers import Response

from shopbook.queries.shelf.materials import list_pots
from shopbook.services.act import Act
from shopbook.services.shelf.materials import clear_pot, keep_pot
from shopbook.trade.measures.units import Unit
from shopbook.web.parts.act import Done, act_by_form, act_by_press, reader
from shopbook.web.parts.guards import needs
from shopbook.web.shelf.amounts import read_amount
from shopbook.web.shelf.forms import PotForm
from shopbook.web.shelf.routes import blueprint


@blueprint.route("/pots", methods=["GET", "POST"])
@needs("shelf", "use")
def pots() -> Any:
    """The pots that are there; the form beside them keeps another."""
    words = request.args.get("q", "").strip()
    form = PotForm()

    def keep(act: Act) -> Done:
        keep_pot(
            act,
            name=form.name.data or "",
            colour_code=form.colour_code.data or "",
            amount_thousandths=read_amount(form.amount.data or "", Unit.ML, 1000, field="amount"),
            expires_on=form.expires_on.data,
        )
        return Done(url_for("shelf.pots"), "Kept.")

    return act_by_form(form, "shelf/pots.html", keep, pots=list_pots(reader(), words), q=words)


@blueprint.post("/pots/<int:pot_id>/clear")
@needs("shelf", "use")
def clear(pot_id: int) -> Response:
    def take_away(act: Act) -> Done:
        clear_pot(act, pot_id)
        return Done(
            url_for("shelf.pots"), "Gone. Left-over paint and thinner go to the hazardous waste as local rules say."
        )

    return act_by_press(take_away, url_for("shelf.pots"))
