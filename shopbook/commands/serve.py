"""`shopbook serve`: the pages behind waitress, on this machine or on the shop's network, one server a book."""

import gc
import signal
import sys
from collections.abc import Callable
from dataclasses import replace
from types import FrameType
from typing import Any

import click
from waitress.wasyncore import close_all

from shopbook.commands.book import Refused, alone, open_book
from shopbook.commands.daily import DailyWork
from shopbook.commands.door import Door, door_settings
from shopbook.commands.init import first_page
from shopbook.commands.kept import note_own_secret
from shopbook.commands.places import DEFAULT_PORT, EVERYWHERE, LOOPBACK, Places, draw_code, find_places, is_taken
from shopbook.config import Config, read_config

THREADS = 4
LARGEST_BODY = 64 * 1024 * 1024
"""The largest request accepted at all, so that nobody fills the disk; pages refuse smaller ones with a sentence."""


@click.command()
@click.option("--network", is_flag=True, help="Serve the shop's network, not just this machine.")
@click.option("--port", type=click.IntRange(1, 65535), default=DEFAULT_PORT, show_default=True)
def serve(network: bool, port: int) -> None:
    """Serve the book until Ctrl+C. Makes one backup a day while it runs."""
    config = read_config()
    host = EVERYWHERE if network else LOOPBACK
    places = find_places() if network else Places((), ())
    with alone(config), open_book(config) as engine:
        if is_taken(host, port):
            raise Refused(f"Port {port} is in use. Stop what uses it, or choose another with --port.")
        note_own_secret(config, engine)
        served = replace(config, trusted_hosts=(*config.trusted_hosts, *places.hosts))
        serve_book(served, host, port, lambda: _say_where(config, places, port, network))


def serve_book(config: Config, host: str, port: int, say_ready: Callable[[], None]) -> None:
    """Serve until the process is asked to end, the daily work beside the pages; `say_ready` when the port is ours."""
    # Here, not above: the other commands answer without loading every page.
    from shopbook.app import create_app

    app = create_app(config)
    # The libraries' own objects live as long as the program: walking through them doubled every twentieth page's time.
    gc.collect()
    gc.freeze()
    sockets: dict[int, Any] = {}
    try:
        server = Door(app, sockets, host=host, port=port, **server_settings(config))
    except OSError as error:
        raise Refused(f"Port {port} cannot be used: {error.strerror or error}") from error
    daily = DailyWork(config, app.logger)
    daily.start()
    # Ends as Ctrl+C does, so that an act under way is finished and the lock is given back.
    signal.signal(signal.SIGTERM, _end)
    say_ready()
    try:
        server.run()
    finally:
        close_all(sockets, ignore_all=True)
        daily.end()


def server_settings(config: Config) -> dict[str, Any]:
    """How the server in front of the pages is set. What says for whom a request is made is taken off it, unless it
    comes from the one proxy that the settings name: anybody can write such a line."""
    proxied = {"trusted_proxy": config.proxy, "trusted_proxy_headers": {"x-forwarded-for"}} if config.proxy else {}
    return {
        "threads": THREADS,
        "ident": "Shopbook",
        "url_scheme": "https" if config.is_behind_tls else "http",
        "max_request_body_size": LARGEST_BODY,
        "clear_untrusted_proxy_headers": True,
        **door_settings(),
        **proxied,
    }


def _end(number: int, frame: FrameType | None) -> None:
    raise SystemExit(0)


def _say_where(config: Config, places: Places, port: int, is_network: bool) -> None:
    path = first_page(config)
    click.echo(f"Shopbook on this machine:  http://{LOOPBACK}:{port}{path}")
    if is_network:
        _say_network(places, port)
    click.echo("Press Ctrl+C to stop.")


def _say_network(places: Places, port: int) -> None:
    if not places.addresses:
        click.echo("This machine is not on a network, so phones cannot reach it.")
        return
    for host in places.hosts:
        click.echo(f"On the shop's network:     http://{host}:{port}/")
    click.echo(_code_or_nothing(f"http://{places.addresses[0]}:{port}/"))
    click.echo(
        f"If a phone cannot connect, allow incoming connections to port {port} (TCP) in this machine's firewall,\n"
        "for private networks only, never from the internet. It is plain http, so keep strangers off this network."
    )


def _code_or_nothing(url: str) -> str:
    """The drawn code, where the terminal's letters can show it."""
    drawn = draw_code(url)
    encoding = sys.stdout.encoding or "ascii"
    try:
        drawn.encode(encoding)
    except UnicodeEncodeError:
        return ""
    return drawn
