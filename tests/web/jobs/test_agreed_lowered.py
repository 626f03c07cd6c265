"""The answer of an edit says what it lowers of work that was agreed."""

import re

from flask import Flask
from lxml import html
from sqlalchemy import select

from shopbook.models.jobs import Stage
from shopbook.models.shop import LogLine
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.makers import states


def test_less_drying_than_agreed_is_said_with_saved_and_written_to_the_log(app: Flask, client: ShopClient) -> None:
    states.make_in(app, states.agreed)
    with client.app.app_context():
        key = db.session.scalars(select(Stage.id).where(Stage.code == "base_clear", Stage.agreed_at.is_not(None))).one()
        db.session.remove()
    url = f"/jobs/1/plan/{key}"
    fields = dict(html.fromstring(client.text(url)).forms[-1].form_values()) | {"csrf_token": "token"}
    page = client.press_on(url, **(fields | {"not_before_minutes": "4", "why": "a lamp is used"}))
    found = re.search(r"Saved\. (The clear of Base and clear coat now dries 4 h, [\d.]+ h were agreed\.)", page)
    assert found, page
    with client.app.app_context():
        logged = db.session.scalars(select(LogLine.words).where(LogLine.act == "lower_agreed")).all()
        db.session.remove()
    assert found[1] in logged
