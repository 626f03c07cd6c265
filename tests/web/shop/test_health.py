"""What the health check tells, and to whom."""

import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from flask import Flask

from shopbook.app import create_app
from shopbook.config import Config, read_config
from shopbook.web.parts.act import db
from tests.clients import ShopClient

PHONE = {"REMOTE_ADDR": "192.168.1.40"}


def told(client: ShopClient, **environ: str) -> tuple[int, Any]:
    answer = client.http.get("/health", environ_overrides=environ)
    return answer.status_code, answer.json


def told_by(settings: dict[str, str]) -> Any:
    """What an app of these settings says, its book closed again."""
    app = create_app(read_config(settings), TESTING=True)
    status, said = told(ShopClient(app))
    with app.app_context():
        db.engine.dispose()
    assert status == 200
    return said


def test_a_stranger_on_the_network_is_told_that_it_works_and_nothing_more(app: Flask) -> None:
    assert told(ShopClient(app), **PHONE) == (200, {"ok": True})


@pytest.mark.parametrize("address", ["127.0.0.1", "::1"])
def test_this_machine_is_told_what_stands_behind_it(app: Flask, address: str) -> None:
    status, said = told(ShopClient(app), REMOTE_ADDR=address)
    assert status == 200
    assert set(said) == {"ok", "schema", "version"}


def test_who_is_signed_in_is_told_wherever_they_are(client: ShopClient) -> None:
    assert set(told(client, **PHONE)[1]) == {"ok", "schema", "version"}


def test_behind_a_proxy_that_no_setting_names_nobody_is_taken_for_this_machine(tmp_path: Path, config: Config) -> None:
    given = {"SHOPBOOK_DATA": str(tmp_path), "SHOPBOOK_DATABASE_URL": config.database_url, "SHOPBOOK_TLS": "yes"}
    assert told_by(given) == {"ok": True}
    assert "version" in told_by(given | {"SHOPBOOK_PROXY": "127.0.0.1"})


def test_a_book_of_another_schema_or_none_is_not_ok(app: Flask, config: Config) -> None:
    with closing(sqlite3.connect(config.book_file or "")) as connection, connection:
        connection.execute("UPDATE alembic_version SET version_num = '20250101_older'")
    assert told(ShopClient(app), **PHONE) == (503, {"ok": False})
    with app.app_context():
        db.engine.dispose()
    Path(config.book_file or "").write_bytes(b"no book at all" * 1000)
    assert told(ShopClient(app), **PHONE) == (503, {"ok": False})


def test_the_sign_in_names_people_only_to_a_device_that_stays_signed_in(app: Flask, client: ShopClient) -> None:
    client.press("/people/new", name="Ada Quill", roles="desk", password="a long enough one", weekly_minutes="40")
    assert "Ada Quill" not in ShopClient(app).text("/sign-in")
    client.press("/devices", name="Phone at bay 1")
    client.press("/sign-out")
    assert "Ada Quill" in client.text("/sign-in?desk=1")
