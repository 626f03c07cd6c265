"""A crowd that sends its requests a byte at a time, and the program it is sent to: a process of its own, run as
somebody who may write nowhere but in that book's folder."""

import os
import selectors
import shutil
import socket
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from http.client import HTTPConnection
from pathlib import Path

from sqlalchemy.orm import Session

from shopbook.app import create_app
from shopbook.config import read_config
from shopbook.models.session import make_engine, transaction
from shopbook.trade.permissions import Role
from shopbook.web.parts.act import db
from tests.clients import signed_in_cookie
from tests.makers import make_book, make_person
from tests.servers import root_for, unprivileged

HOST = "127.0.0.1"


@dataclass(frozen=True, slots=True)
class Confined:
    """The program behind its own door, with an owner who is signed in."""

    port: int
    cookie: str

    def get(self, path: str) -> tuple[int, float]:
        """The status of a page for the owner, and the seconds it took, from a fresh connection."""
        began = time.monotonic()
        link = HTTPConnection(HOST, self.port, timeout=60)
        link.request("GET", path, headers={"Cookie": f"shopbook={self.cookie}"})
        answer = link.getresponse()
        answer.read()
        link.close()
        return answer.status, time.monotonic() - began


@contextmanager
def confined(empty_book: Path) -> Iterator[Confined]:
    """Serve a started book by `shopbook serve` until the block ends."""
    folder = Path(tempfile.mkdtemp(prefix="shopbook-door-"))
    try:
        data = folder / "data"
        data.mkdir()
        shutil.copyfile(empty_book, data / "book.sqlite3")
        cookie = _start_book(data)
        as_whom = unprivileged(folder)
        for path in (data, *data.rglob("*")):
            unprivileged(path)
        root = root_for(as_whom, folder)
        with socket.socket() as probe:
            probe.bind((HOST, 0))
            port = probe.getsockname()[1]
        environment = {"SHOPBOOK_DATA": str(data), "PATH": os.environ["PATH"], "PYTHONPATH": str(root)}
        command = [*as_whom, sys.executable, "-m", "shopbook.cli", "serve", "--port", str(port)]
        with (folder / "said").open("wb") as said:
            process = subprocess.Popen(command, env=environment, cwd=data, stdout=said, stderr=said)
            try:
                _await(process, port, folder / "said")
                yield Confined(port, cookie)
            finally:
                process.terminate()
                process.wait(30)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _start_book(data: Path) -> str:
    """Start the book in a folder; the cookie of its owner."""
    config = read_config({"SHOPBOOK_DATA": str(data)})
    engine = make_engine(config.database_url)
    with Session(engine) as opened, transaction(opened):
        make_book(opened)
        make_person(opened, "Noor", Role.OWNER)
    engine.dispose()
    app = create_app(config, TESTING=True)
    cookie = signed_in_cookie(app, config.database_url, "Noor")
    with app.app_context():
        db.engine.dispose()
    return cookie


def _await(process: subprocess.Popen[bytes], port: int, said: Path) -> None:
    ends = time.monotonic() + 300
    while process.poll() is None and time.monotonic() < ends:
        with suppress(OSError), socket.create_connection((HOST, port), 1):
            return
        time.sleep(0.1)
    raise AssertionError(said.read_text(encoding="utf-8", errors="replace"))


@dataclass
class Crowd:
    """Slow callers; `open` are those that the server has not closed."""

    port: int
    open: set[socket.socket] = field(default_factory=set)

    def join(self, address: str) -> None:
        """One more connection from an address of this machine, with the beginning of a request."""
        caller = socket.create_connection((HOST, self.port), 30, (address, 0))
        caller.sendall(b"GET /sign-in HTTP/1.1\r\nHost: localhost\r\nX-Slow: ")
        caller.setblocking(False)
        self.open.add(caller)

    def trickle(self) -> None:
        """One further byte of each, and see who was closed."""
        with selectors.DefaultSelector() as waiting:
            for caller in self.open:
                waiting.register(caller, selectors.EVENT_READ)
            ended = {key.fileobj for key, _ in waiting.select(0)}
        for caller in list(self.open):
            if caller in ended or not _send(caller):
                self.open.discard(caller)
                caller.close()


def _send(caller: socket.socket) -> bool:
    try:
        caller.send(b"x")
    except OSError:
        return False
    return True


@contextmanager
def crowd(port: int, *, addresses: int, each: int) -> Iterator[Crowd]:
    """So many slow callers from so many addresses, each sending a byte a second until the block ends."""
    made, stop = Crowd(port), threading.Event()
    for number in range(2, 2 + addresses):
        for _ in range(each):
            made.join(f"127.0.0.{number}")

    def go_on() -> None:
        while not stop.wait(1):
            made.trickle()

    thread = threading.Thread(target=go_on)
    thread.start()
    try:
        yield made
    finally:
        stop.set()
        thread.join()
        for caller in made.open:
            caller.close()
