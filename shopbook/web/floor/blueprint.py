"""The blueprint of the floor; whoever looks lets what the clock alone has brought about be written first."""

from flask import Blueprint, g, request

from shopbook.queries.floor.clocks import list_overdue
from shopbook.queries.floor.windows import list_passed_windows
from shopbook.services.floor.troubles import settle_floor
from shopbook.web.parts.act import now, reader, writer

blueprint = Blueprint("floor", __name__, url_prefix="/floor")


@blueprint.before_request
def settle() -> None:
    """Clocks past lunch or closing stop, passed windows add their stages; nothing is written where none have."""
    if g.actor.person_id is None or request.method != "GET":
        return
    if list_overdue(reader(), now()) or list_passed_windows(reader(), now()):
        with writer() as session:
            settle_floor(session, now())
