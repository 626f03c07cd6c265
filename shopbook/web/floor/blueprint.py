"""The blueprint of the floor; every look first writes what follows from the time alone."""

from flask import Blueprint, g, request

from shopbook.queries.floor.at_work import FloorNow, floor_now
from shopbook.services.floor.troubles import settle_floor
from shopbook.web.parts.act import now, shop_now, writer

blueprint = Blueprint("floor", __name__, url_prefix="/floor")


@blueprint.before_request
def settle() -> None:
    """Clocks past lunch or closing stop, passed windows add their stages; where there are none nothing is written."""
    if g.actor.person_id is None or request.method != "GET":
        return
    if not floor_of_request().is_settled:
        with writer() as session:
            settle_floor(session, now())
        g.pop("floor_now")


def floor_of_request() -> FloorNow:
    """The clocks and waits that this request started with, after what follows from the time alone was written."""
    if "floor_now" not in g:
        g.floor_now = floor_now(shop_now(), now())
    return g.floor_now  # type: ignore[no-any-return]  # what hangs on g has no type
