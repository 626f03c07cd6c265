"""The front door, and the health check; the blueprint that the area's other modules hang their pages on."""

from importlib.metadata import PackageNotFoundError, version
from ipaddress import ip_address

from flask import Blueprint, current_app, g, redirect, request, url_for
from sqlalchemy.exc import SQLAlchemyError
from werkzeug.wrappers import Response

from shopbook.queries.shop.book import find_book
from shopbook.queries.shop.standing import get_schema_standing
from shopbook.trade.permissions import Role
from shopbook.web.parts import open_to_all, reader
from shopbook.web.parts.errors import log_trouble
from shopbook.web.parts.frame import places

blueprint = Blueprint("shop", __name__)


def first_page() -> str:
    """Where a person begins: the first place of the spine that is theirs, else their account."""
    if g.actor.roles == {Role.TECHNICIAN}:
        return url_for("floor.work")
    mine = places()
    return mine[0].url if mine else url_for("shop.account")


@blueprint.get("/")
@open_to_all
def front() -> Response:
    if find_book(reader()) is None:
        return redirect(url_for("shop.start"))
    if g.actor.person_id is None:
        return redirect(url_for("shop.who" if g.device else "shop.sign_in"))
    return redirect(first_page())


@blueprint.get("/health")
@open_to_all
def health() -> tuple[dict[str, object], int]:
    """Whether the pages can be used; details go only to this machine or to someone signed in."""
    try:
        standing = get_schema_standing(reader())
    except SQLAlchemyError:
        log_trouble("the health check found no book")
        return {"ok": False}, 503
    told: dict[str, object] = {"ok": standing.is_ready}
    if g.actor.person_id is not None or _is_on_this_machine():
        told |= {"schema": standing.stands_at, "version": program_version()}
    return told, 200 if standing.is_ready else 503


def _is_on_this_machine() -> bool:
    """Whether the request is from this machine. Behind a proxy all seem to be, until the settings name the proxy."""
    settings = current_app.config["SHOPBOOK"]
    if settings.is_behind_tls and settings.proxy is None:
        return False
    try:
        return ip_address(request.remote_addr or "").is_loopback
    except ValueError:
        return False


def program_version() -> str:
    """The version of the installed program; "unpacked" where it runs without being installed."""
    try:
        return version("shopbook")
    except PackageNotFoundError:
        return "unpacked"
