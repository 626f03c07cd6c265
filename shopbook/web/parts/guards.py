"""What every request passes: the host, the token and origin of unsafe ones, who is asking, whether they may."""

import hmac
import secrets
from collections.abc import Callable
from typing import TypeVar

from flask import Flask, abort, current_app, g, redirect, request, session, url_for
from werkzeug.wrappers import Response

from shopbook.outside.passwords import hash_token
from shopbook.queries.shop.book import find_book
from shopbook.queries.shop.people import find_device, find_signed_in, get_actor, get_person
from shopbook.trade.errors import NotAllowed
from shopbook.trade.permissions import Actor, Role
from shopbook.web.parts.act import reader
from shopbook.web.parts.forms import LONGEST_LINE, csrf_token
from shopbook.web.parts.late import hold_back_foreign, is_told, tell_code

Handler = TypeVar("Handler", bound=Callable[..., object])
DEVICE_COOKIE = "shopbook_device"
SIGN_IN = "sign_in"
"""Under which the browser's session holds the token of its sign-in."""
SAFE_METHODS = {"GET", "HEAD", "OPTIONS"}
NOBODY = Actor(None)
POLICY = (
    "default-src 'self'; img-src 'self' blob:; object-src 'none'; base-uri 'none'; form-action 'self'; "
    "frame-ancestors 'none'"
)


def needs(area: str, verb: str) -> Callable[[Handler], Handler]:
    """Mark what a handler wants by the table of permissions. A handler without a mark is refused to everybody."""

    def mark(handler: Handler) -> Handler:
        handler.needs = (area, verb)  # type: ignore[attr-defined]
        return handler

    return mark


def open_to_all(handler: Handler) -> Handler:
    """Mark a handler that needs no sign-in: the first run, signing in, the health check."""
    handler.needs = None  # type: ignore[attr-defined]
    return handler


def install(app: Flask) -> None:
    """Set the guards in front of every request and the headers behind every answer."""
    app.before_request(_name_request)
    app.before_request(_refuse_foreign)
    app.before_request(_refuse_null_letters)
    app.before_request(_find_actor)
    app.before_request(_check_permission)
    app.before_request(hold_back_foreign)
    app.after_request(_add_headers)


def _name_request() -> None:
    g.request_id = secrets.token_hex(4)
    g.actor = NOBODY
    g.device = None
    g.is_owner = False


def _refuse_foreign() -> Response | None:
    if request.method in SAFE_METHODS:
        return None
    origin = request.headers.get("Origin")
    is_foreign = origin is not None and origin.rstrip("/") != request.host_url.rstrip("/")
    # Over TLS and on this machine a browser says it even where it leaves the origin out.
    if is_foreign or request.headers.get("Sec-Fetch-Site") in {"cross-site", "same-site"}:
        raise NotAllowed("Nothing was done: that came from another website. Open Shopbook itself and try there.")
    return _refuse_unsigned()


def _refuse_unsigned() -> Response | None:
    if not hmac.compare_digest(request.form.get("csrf_token", "").encode(), csrf_token().encode()):
        if is_told():
            # What was pressed before a new sign-in is sent once more with its token; no other site reads the answer.
            return tell_code("token", 403, token=csrf_token())
        raise NotAllowed("This page is from an earlier sign-in. Go back, reload it and try again.")
    if not 0 < len(request.form.get("act_key", "")) <= LONGEST_LINE:
        raise NotAllowed("This page did not load completely. Go back, reload it and try again.")
    return None


def _refuse_null_letters() -> None:
    """Nobody types one, and not every database can store it."""
    typed = (text for given in (request.args, request.form) for _, text in given.items(multi=True))
    if "\0" in request.path or any("\0" in text for text in typed):
        abort(400)


def _find_actor() -> None:
    if request.endpoint == "static":
        return
    _find_device()
    token = session.get(SIGN_IN)
    if token is None:
        return
    person = find_signed_in(reader(), hash_token(token))
    if person is None:
        session.pop(SIGN_IN)
        return
    g.actor = get_actor(reader(), person.id)
    g.is_owner = Role.OWNER in g.actor.roles


def _find_device() -> None:
    """A device that stays signed in gives its user's floor rights, and none of the desk's."""
    token = request.cookies.get(DEVICE_COOKIE)
    g.device = find_device(reader(), hash_token(token)) if token else None
    if g.device is not None and g.device.person_id is not None:
        if not get_person(reader(), g.device.person_id).is_active:
            return
        holder = get_actor(reader(), g.device.person_id)
        g.actor = Actor(holder.person_id, holder.name, frozenset({Role.TECHNICIAN}), holder.skills)
        # It gives no right of the desk's; whose press may be thrown away on it is asked by the person alone.
        g.is_owner = Role.OWNER in holder.roles


def _check_permission() -> Response | None:
    if request.endpoint in {None, "static"}:
        return None
    handler = current_app.view_functions[str(request.endpoint)]
    if not hasattr(handler, "needs"):
        abort(403)
    wanted = handler.needs
    if wanted is None:
        return None
    if find_book(reader()) is None:
        return redirect(url_for("shop.start"))
    if g.actor.person_id is None and is_told():
        return tell_code("signed_out", 401)
    if g.actor.person_id is None:
        return redirect(url_for("shop.sign_in", then=request.full_path if request.method == "GET" else None))
    if not g.actor.may(*wanted):
        raise NotAllowed("Your role does not include this. Ask the shop’s owner, or have someone else sign in.")
    return None


def _add_headers(response: Response) -> Response:
    response.headers.setdefault("Content-Security-Policy", POLICY)
    response.headers.setdefault("X-Content-Type-Options", "nosniff")
    response.headers.setdefault("Referrer-Policy", "same-origin")
    response.headers.setdefault("X-Frame-Options", "DENY")
    if request.endpoint == "static":
        response.cache_control.immutable = True
    else:
        response.headers.setdefault("Cache-Control", "no-store")
    return response
