"""Pots left from single cars: added, found by colour, removed."""

from flask import request, url_for

from shopbook.queries.shelf.materials import list_pots
from shopbook.services.shelf.materials import clear_pot, keep_pot
from shopbook.trade.measures.units import Unit
from shopbook.web.parts import Act, Answer, Done, Presses, act_by_form, needs, reader
from shopbook.web.shelf.amounts import read_amount
from shopbook.web.shelf.forms import PotForm
from shopbook.web.shelf.routes import blueprint


@blueprint.route("/pots", methods=["GET", "POST"])
@needs("shelf", "use")
def pots() -> Answer:
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
        return Done(url_for("shelf.pots"), "Saved.")

    return act_by_form(form, "shelf/pots.html", keep, pots=list_pots(reader(), words), q=words)


GONE = "Pot removed. Leftover paint and solvent are hazardous waste. Follow your local rules."
on_pot = Presses(blueprint, "shelf", "use", lambda pot_id: url_for("shelf.pots"))
on_pot.add("/pots/<int:pot_id>/clear", "clear", clear_pot, GONE)
