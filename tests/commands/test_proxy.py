"""Who asks, behind a proxy and without one: nobody makes it up, and nobody is slowed for another."""

import sqlite3
import threading
from collections.abc import Iterator
from contextlib import closing, contextmanager
from http.client import HTTPConnection
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest
from flask import Flask
from waitress import wasyncore

from shopbook.app import create_app
from shopbook.commands.door import Door
from shopbook.commands.serve import server_settings
from shopbook.config import Config, read_config
from shopbook.trade.errors import RuleBroken
from shopbook.web.parts.act import db
from tests.clients import ShopClient


@contextmanager
def served(config: Config) -> Iterator[int]:
    """The pages behind the server as `shopbook serve` sets it; answers the port."""
    app = create_app(config, TESTING=True)
    sockets: dict[int, Any] = {}
    server = Door(app, sockets, host="127.0.0.1", port=0, **server_settings(config))
    thread = threading.Thread(target=server.run)
    thread.start()
    try:
        yield server.effective_port
    finally:
        server.trigger.pull_trigger(lambda: wasyncore.close_all(sockets, ignore_all=True))
        thread.join(10)
        server.task_dispatcher.shutdown()
        with app.app_context():
            db.engine.dispose()


def settings(config: Config, **more: str) -> Config:
    given = {"SHOPBOOK_DATA": str(config.data_folder), "SHOPBOOK_DATABASE_URL": config.database_url}
    return read_config(given | more)


def try_wrongly(app: Flask, port: int, *forwarded: str) -> None:
    """One wrong password, with these lines of what a proxy says."""
    cookie = ShopClient(app).signed_in_as("Noor").http.get_cookie("shopbook")
    assert cookie is not None
    link = HTTPConnection("127.0.0.1", port, timeout=20)
    body = urlencode({"csrf_token": "token", "act_key": "k" * 32, "name": "Nobody", "password": "not it at all"})
    link.putrequest("POST", "/sign-in")
    for name, value in (
        ("Content-Type", "application/x-www-form-urlencoded"),
        ("Content-Length", str(len(body))),
        ("Cookie", f"shopbook={cookie.value}"),
        *(("X-Forwarded-For", line) for line in forwarded),
        ("X-Forwarded-Host", "elsewhere.example"),
        ("Forwarded", "for=192.0.2.9"),
    ):
        link.putheader(name, value)
    link.endheaders(body.encode())
    assert link.getresponse().status == 422
    link.close()


def slowed(book: Path | None) -> set[str]:
    """The addresses whose next try at a name is slowed."""
    with closing(sqlite3.connect(book or "")) as connection:
        found = {whom for (whom,) in connection.execute("SELECT whom FROM pin_trial")}
    return {whom.rpartition(":")[0].removeprefix("password:") for whom in found}


def test_a_forged_line_changes_nothing_while_no_proxy_is_named(app: Flask, config: Config) -> None:
    with served(settings(config)) as port:
        for place in range(2):
            try_wrongly(app, port, f"192.0.2.{place}")
    assert slowed(config.book_file) == {"127.0.0.1"}


def test_a_line_from_another_place_than_the_named_proxy_changes_nothing(app: Flask, config: Config) -> None:
    with served(settings(config, SHOPBOOK_PROXY="192.0.2.250")) as port:
        try_wrongly(app, port, "192.0.2.1")
    assert slowed(config.book_file) == {"127.0.0.1"}


def test_browsers_behind_the_named_proxy_are_slowed_one_by_one(app: Flask, config: Config) -> None:
    with served(settings(config, SHOPBOOK_PROXY="127.0.0.1")) as port:
        try_wrongly(app, port, "192.0.2.1")
        try_wrongly(app, port, "192.0.2.2")
        # What the browser itself wrote stands before what the proxy added, and is not believed.
        try_wrongly(app, port, "198.51.100.7, 192.0.2.3")
    assert slowed(config.book_file) == {"192.0.2.1", "192.0.2.2", "192.0.2.3"}


@pytest.mark.parametrize("given", ["*", "proxy.lan", "10.0.0.0/8", "127.0.0.1, 10.0.0.1"])
def test_a_proxy_that_is_no_single_address_is_a_sentence(given: str) -> None:
    with pytest.raises(RuleBroken, match="Set SHOPBOOK_PROXY to the address"):
        read_config({"SHOPBOOK_DATA": "somewhere", "SHOPBOOK_PROXY": given})
