"""Which people signed in lately in this browser: it counts their wrong passwords by itself, apart from others."""

from collections.abc import Iterable
from datetime import UTC, datetime

from flask import current_app, request
from itsdangerous import BadData, URLSafeSerializer
from werkzeug.wrappers import Response

from shopbook.outside.passwords import make_token
from shopbook.trade.patience import KNOWN_FOR
from shopbook.web.parts.act import now

KNOWN_COOKIE = "shopbook_known"
"""Signed, kept apart from the session: it says who may be slowed here, and lets nobody in."""
MOST_PEOPLE = 20
Known = tuple[str, dict[str, int]]
"""The browser's own random name, and when each person last signed in here, in seconds, by id."""


def known_browser(people: Iterable[int]) -> str | None:
    """The name of this browser, if one of these people signed in here within 30 days."""
    name, when = _read()
    lately = _seconds(now() - KNOWN_FOR)
    return name if any(when.get(str(person_id), lately) > lately for person_id in people) else None


def keep_known(answer: Response, person_id: int) -> None:
    """This browser is known for the person from now on; the people who signed in last are kept."""
    name, when = _read()
    latest = sorted((when | {str(person_id): _seconds(now())}).items(), key=lambda each: each[1])[-MOST_PEOPLE:]
    answer.set_cookie(
        KNOWN_COOKIE,
        _signer().dumps([name or make_token(), dict(latest)]),
        max_age=KNOWN_FOR,
        secure=bool(current_app.config["SESSION_COOKIE_SECURE"]),
        httponly=True,
        samesite="Lax",
    )


def _read() -> Known:
    try:
        name, when = _signer().loads(request.cookies.get(KNOWN_COOKIE, ""))
    except BadData:
        return "", {}
    return str(name), dict(when)


def _signer() -> URLSafeSerializer:
    return URLSafeSerializer(current_app.config["SECRET_KEY"], salt="known browser")


def _seconds(moment: datetime) -> int:
    return int(moment.astimezone(UTC).timestamp())
