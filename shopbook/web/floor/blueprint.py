"""The blueprint of the floor; whoever looks lets what the clock alone has brought about be written first."""

from flask import Blueprint, g, request

from shopbook.queries.floor.at_work import FloorNow, floor_now
from shopbook.services.floor.troubles import settle_floor
from shopbook.web.parts.act import now, shop_now, writer

blueprint = Blueprint("floor", __name__, url_prefix="/floor")


@blueprint.before_request
def settle() -> None:
    """Clocks past lunch or closing stop, passed windows add their stages; nothing is written where none have."""
    if g.actor.person_id is None or request.method != "GET":
        return
    if not floor_of_request().is_settled:
        with writer() as session:
            settle_floor(session, now())
        g.pop("floor_now")


def floor_of_request() -> FloorNow:
    """The clocks and waits that this request was begun with, after what the clock alone brought about was written."""
    if "floor_now" not in g:
        g.floor_now = floor_now(shop_now(), now())
    return g.floor_now  # type: ignore[no-any-return]  # what hangs on g has no type
