"""A test client that presses as a browser does: with the page's token and a key of the form's own."""

import io
import re
import secrets
from datetime import UTC, datetime
from typing import Any

from flask import Flask
from flask.sessions import SecureCookieSessionInterface
from lxml import html
from PIL import Image
from sqlalchemy import func, select
from sqlalchemy.orm import Session
from werkzeug.test import TestResponse

from shopbook.models.session import make_engine, transaction
from shopbook.models.shop import Person
from shopbook.outside.passwords import hash_token, make_token
from shopbook.services.shop.people import begin_sign_in
from shopbook.web.parts.act import db
from shopbook.web.parts.guards import SIGN_IN


def signed_in(session: Session, name: str) -> dict[str, str]:
    """Sign a person in by the book; what the browser's session holds then."""
    person_id = session.scalars(select(Person.id).where(Person.name == name)).one()
    token = make_token()
    with transaction(session):
        begin_sign_in(session, datetime.now(UTC), person_id, hash_token(token))
    return {SIGN_IN: token, "csrf": "token"}


def signed_in_cookie(app: Flask, database_url: str, name: str) -> str:
    """The cookie of a browser in which a person is signed in, for a served app."""
    engine, signer = make_engine(database_url), SecureCookieSessionInterface().get_signing_serializer(app)
    assert signer is not None
    with Session(engine) as session:
        kept = signed_in(session, name)
    engine.dispose()
    return str(signer.dumps(kept))


class ShopClient:
    """Get and press pages of an app; `press` adds what every form carries."""

    def __init__(self, app: Flask) -> None:
        self.app = app
        self.http = app.test_client()

    def signed_in_as(self, name: str) -> "ShopClient":
        """Put the person's sign-in into the browser's session, as signing in does."""
        with self.app.app_context():
            kept = signed_in(db.session(), name)
            db.session.remove()
        with self.http.session_transaction() as cookie:
            cookie.update(kept)
        return self

    def get(self, url: str, **options: Any) -> TestResponse:
        """A page."""
        return self.http.get(url, **options)

    def text(self, url: str) -> str:
        """A page's text; fails when the page was not shown."""
        answer = self.http.get(url)
        assert answer.status_code == 200, (url, answer.status_code, answer.text[:500])
        return answer.text

    def count(self, table: type[Any]) -> int:
        """How many rows of a table the book has."""
        with self.app.app_context():
            found = db.session.scalar(select(func.count()).select_from(table)) or 0
            db.session.remove()
        return found

    def press(self, url: str, key: str | None = None, **fields: Any) -> TestResponse:
        """Send a form. `key` stands for the act key that the page held; without it the press is a new act."""
        data = {"csrf_token": "token", "act_key": key or secrets.token_hex(16)} | fields
        return self.http.post(url, data=data)

    def press_on(self, url: str, **fields: Any) -> str:
        """Send a form that must be accepted, follow it, and answer the text of the page it leads to."""
        answer = self.press(url, **fields)
        assert answer.status_code == 303, (url, answer.status_code, sentences(answer.text))
        return self.text(answer.headers["Location"])


def sentences(page: str) -> list[str]:
    """What a page says beside its fields and above its form."""
    found = re.findall(r'class="error"[^>]*>([^<]*)<|role="alert"[^>]*>(.*?)</div>', page, re.DOTALL)
    return [re.sub(r"<[^>]+>", " ", first or second).strip() for first, second in found] or [page[:800]]


def refused_fields(page: str) -> list[str]:
    """The names of the controls that a page says are wrong, to a screen reader too."""
    return [str(each.get("name")) for each in html.fromstring(page).xpath("//*[@aria-invalid='true']")]


def photo(kind: str = "JPEG") -> tuple[io.BytesIO, str]:
    """A picture as a browser sends one: its bytes and its name."""
    target = io.BytesIO()
    Image.new("RGB", (320, 240), "#8e1b2b").save(target, kind)
    target.seek(0)
    return target, f"photo.{kind.lower()}"
