"""Where a car can stand: bays and parking places, added, renamed, taken out of use."""

from flask import url_for
from wtforms import BooleanField, StringField

from shopbook.queries.shop.book import get_place
from shopbook.services.shop.book import add_place, change_place
from shopbook.web.parts import Act, Answer, Done, act_by_form, does, needs, reader, shop_now
from shopbook.web.parts.fields import Needed
from shopbook.web.parts.forms import LINE, ActForm
from shopbook.web.shop.routes import blueprint


class PlaceForm(ActForm):
    """A place and whether work is done on it."""

    name = StringField("Name", [Needed("Enter a name, for example Bay 3."), LINE])
    is_bay = BooleanField("Cars are worked on here")


class ChangedPlaceForm(PlaceForm):
    """A known place; one that is no longer in use is not offered."""

    is_active = BooleanField("In use")


@blueprint.route("/settings/places", methods=["GET", "POST"])
@needs("shop", "set")
def places() -> Answer:
    form = PlaceForm()

    def doing(act: Act) -> Done:
        place = add_place(act, name=form.name.data or "", is_bay=bool(form.is_bay.data))
        return Done(url_for("shop.places"), f"{place.name} added.")

    return act_by_form(form, "shop/places.html", doing, standing=shop_now().places)


@blueprint.route("/settings/places/<int:place_id>", methods=["GET", "POST"])
@needs("shop", "set")
def place(place_id: int) -> Answer:
    known = get_place(reader(), place_id)
    form = ChangedPlaceForm(obj=known)
    doing = does(lambda act: change_place(act, place_id, **form.clean()), url_for("shop.places"), "Place saved.")
    return act_by_form(form, "shop/place.html", doing, name=known.name)
