"""The real servers that tests use: a private PostgreSQL, the program behind waitress, and a browser."""

import os
import shutil
import subprocess
import sys
import tempfile
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import count
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from playwright.sync_api import Browser, Page, sync_playwright
from waitress import wasyncore
from waitress.server import create_server

from shopbook.config import Config, read_config
from shopbook.models.schema import upgrade_schema

SHOP_HOST = "shop.lan"
"""A host name that is not loopback: what a phone in the shop sees."""

_CHROMIUM = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
    "--disable-quic",
    f"--host-resolver-rules=MAP {SHOP_HOST} 127.0.0.1",
)


def miss(what: str) -> None:
    """Skip a test for want of a program; on the build machine that is a failure."""
    if os.environ.get("CI", "").lower() in {"1", "true"}:
        pytest.fail(f"{what} is missing, and CI=true wants it")
    pytest.skip(f"{what} is not on this machine")


@dataclass(frozen=True, slots=True)
class Postgres:
    """A private server that listens on a socket in its own folder only."""

    folder: Path
    programs: Path
    as_whom: tuple[str, ...]

    def url(self, name: str) -> str:
        """The address of one of its databases."""
        return f"postgresql+psycopg://postgres@/{name}?host={self.folder.as_posix()}&port=5432"

    def run(self, program: str, *words: str) -> None:
        """Run one of the server's programs as the user who owns the folder."""
        command = [*self.as_whom, str(self.programs / program), *words]
        with (self.folder / "programs.log").open("ab") as log:
            done = subprocess.run(command, cwd=self.folder, stdout=log, stderr=log, check=False)
        if done.returncode:
            raise RuntimeError((self.folder / "programs.log").read_text(encoding="utf-8", errors="replace"))

    def ask(self, sql: str) -> None:
        """One statement outside a transaction."""
        self.run("psql", "-h", str(self.folder), "-U", "postgres", "-d", "postgres", "-qc", sql)


def _find_programs() -> Path | None:
    debian = sorted(Path("/usr/lib/postgresql").glob("*/bin"), key=lambda found: int(found.parent.name))
    beside = shutil.which("initdb")
    return debian[-1] if debian else Path(beside).parent if beside else None


def unprivileged(folder: Path) -> tuple[str, ...]:
    """The words that run a command as somebody who is not root (a server refuses root); the folder becomes theirs."""
    if not hasattr(os, "geteuid") or os.geteuid() != 0:
        return ()
    import grp
    import pwd

    user = next(entry for name in ("postgres", "nobody") for entry in pwd.getpwall() if entry.pw_name == name)
    os.chown(folder, user.pw_uid, user.pw_gid)
    group = grp.getgrgid(user.pw_gid).gr_name
    return ("setpriv", f"--reuid={user.pw_name}", f"--regid={group}", "--clear-groups")


def can_run(as_whom: tuple[str, ...], root: Path) -> bool:
    """Whether somebody else reaches the interpreter and the program under `root`: a clone may lie where only root may
    enter."""
    probe = f"import sys; sys.path.insert(0, {str(root)!r}); import shopbook.cli"
    command = [*as_whom, sys.executable, "-c", probe]
    return subprocess.run(command, cwd="/", capture_output=True, check=False).returncode == 0


def root_for(as_whom: tuple[str, ...], folder: Path) -> Path:
    """Where somebody else finds the program: in this checkout, or in a copy of it under `folder`; skips where neither
    can be run."""
    root = Path.cwd()
    if as_whom and not can_run(as_whom, root):
        for name in ("shopbook", "migrations", "templates"):
            shutil.copytree(root / name, folder / "copied" / name)
        root = folder / "copied"
        for path in (root, *root.rglob("*")):
            path.chmod(path.stat().st_mode | (0o055 if path.is_dir() else 0o044))
        if not can_run(as_whom, root):
            pytest.skip(f"nobody but root may enter the folder of the interpreter, {Path(sys.executable).parent}")
    return root


@pytest.fixture(scope="session")
def postgres() -> Iterator[Postgres]:
    """The server of this run, with a database `at_head` that stands at the newest migration."""
    programs = _find_programs()
    if programs is None:
        miss("PostgreSQL")
    assert programs is not None
    folder = Path(tempfile.mkdtemp(prefix="shopbook-pg-"))
    server = Postgres(folder, programs, unprivileged(folder))
    try:
        kept = str(folder / "kept")
        server.run("initdb", "-D", kept, "-U", "postgres", "-A", "trust", "-E", "UTF8", "--locale=C.UTF-8", "-N")
        options = f"-k {folder} -p 5432 -c listen_addresses= -c fsync=off -c max_connections=60"
        server.run("pg_ctl", "-D", kept, "-w", "-l", str(folder / "server.log"), "-o", options, "start")
        try:
            server.ask("CREATE DATABASE at_head")
            upgrade_schema(server.url("at_head"))
            yield server
        finally:
            server.run("pg_ctl", "-D", kept, "-w", "-m", "immediate", "stop")
    finally:
        shutil.rmtree(folder, ignore_errors=True)


_numbers = count(1)


@contextmanager
def fresh_database(server: Postgres, template: str) -> Iterator[str]:
    """The address of a copy of a database, gone after the block."""
    name = f"t{next(_numbers)}"
    server.ask(f"CREATE DATABASE {name} TEMPLATE {template}")
    try:
        yield server.url(name)
    finally:
        server.ask(f"DROP DATABASE {name} WITH (FORCE)")


@pytest.fixture
def postgres_url(postgres: Postgres) -> Iterator[str]:
    """A fresh database at the newest migration."""
    with fresh_database(postgres, "at_head") as url:
        yield url


@pytest.fixture
def empty_postgres_url(postgres: Postgres) -> Iterator[str]:
    """A fresh database with nothing in it."""
    with fresh_database(postgres, "template0") as url:
        yield url


@pytest.fixture
def book_folder(tmp_path: Path, empty_book_file: Path) -> Path:
    """A data folder with an empty book at the newest migration."""
    folder = tmp_path / "served"
    folder.mkdir()
    shutil.copyfile(empty_book_file, folder / "book.sqlite3")
    return folder


@dataclass(frozen=True, slots=True)
class Served:
    """The program behind waitress. `app.config["CLOCK"]` may be set while it runs."""

    app: Flask
    config: Config
    port: int

    @property
    def url(self) -> str:
        """As this machine sees it."""
        return f"http://127.0.0.1:{self.port}"

    @property
    def shop_url(self) -> str:
        """As a phone sees it: plain http, a name that is not loopback."""
        return f"http://{SHOP_HOST}:{self.port}"


@contextmanager
def serving(config: Config, **overrides: Any) -> Iterator[Served]:
    """Serve a book on a free loopback port until the block ends."""
    # Here, not above: tests of the models want the database fixtures without loading the pages.
    from shopbook.app import create_app
    from shopbook.web.parts.act import db

    app = create_app(config, **overrides)
    sockets: dict[int, Any] = {}
    server = create_server(app, sockets, host="127.0.0.1", port=0, threads=4)
    thread = threading.Thread(target=server.run, name="waitress")
    thread.start()
    try:
        yield Served(app, config, server.effective_port)
    finally:
        server.trigger.pull_trigger(lambda: wasyncore.close_all(sockets, ignore_all=True))
        thread.join(10)
        server.task_dispatcher.shutdown()
        with app.app_context():
            db.engine.dispose()


@pytest.fixture
def served(book_folder: Path) -> Iterator[Served]:
    """The program with a fresh book, reachable as loopback and as the shop's host name."""
    with serving(read_config({"SHOPBOOK_DATA": str(book_folder), "SHOPBOOK_HOSTS": SHOP_HOST})) as running:
        yield running


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Debian's Chromium, driven by Playwright; knows the shop's host name."""
    path = shutil.which("chromium") or shutil.which("chromium-browser")
    if path is None:
        miss("chromium")
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=path, args=list(_CHROMIUM))
        yield chromium
        chromium.close()


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    """A page of a browser without cookies, as wide as a desk's screen."""
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    yield context.new_page()
    context.close()
