"""What the layers share in tests: an empty migrated book, a session that writes, an app with a signed-in client."""

import shutil
from collections import Counter
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from flask import Flask
from hypothesis import HealthCheck, settings
from sqlalchemy.orm import Session

from shopbook.app import create_app
from shopbook.config import Config, read_config
from shopbook.models.schema import upgrade_schema
from shopbook.models.session import make_engine, transaction
from shopbook.services.act import Act
from shopbook.trade.permissions import Actor, Role
from tests.clients import ShopClient
from tests.makers import make_book, make_person
from tests.once import build_addresses_once, compile_statements_once, compile_templates_once

pytest_plugins = ["tests.servers"]

compile_templates_once()
build_addresses_once()
compile_statements_once()

# No test is timed: a loaded machine is no fault of the code.
settings.register_profile("untimed", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("untimed")

NOON = datetime(2026, 11, 5, 17, 0, tzinfo=UTC)
"""Noon of Thursday 5 November 2026 in the makers' shop (five hours behind UTC)."""


MARKED_BY = {
    "demo": {"demo", "half_demo", "recent_shop", "demo_before"},
    "postgresql": {"postgres"},
    "browser": {"browser"},
}
"""Fixtures that mark whoever asks for them, directly or through another; those of `demo` build the whole demo, or carry
a full old book through every migration."""

SLOW = {"demo", "postgresql", "processes"}
"""Markers of files that take long, as every journey does."""


def pytest_configure(config: pytest.Config) -> None:
    """Workers take the files in the order below, not by how many tests one holds: the longest hold few."""
    if hasattr(config.option, "loadscopereorder"):
        config.option.loadscopereorder = False


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Whoever asks for something slow is marked by it, so that no such test is forgotten; files with something slow
    come first, so that no core is idle while the last of them runs."""
    slow, held = set[Path](), Counter[Path]()
    for item in items:
        asked = set(getattr(item, "fixturenames", ()))
        for marker, fixtures in MARKED_BY.items():
            if asked & fixtures:
                item.add_marker(marker)
        held[item.path] += 1
        if "journeys" in item.path.parts or SLOW & {mark.name for mark in item.iter_markers()}:
            slow.add(item.path)
    items.sort(key=lambda item: (item.path not in slow, -held[item.path], item.path))


@pytest.fixture(scope="session")
def empty_book_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A SQLite file with every table and no row; copied, never written."""
    path = tmp_path_factory.mktemp("book") / "empty.sqlite3"
    upgrade_schema(f"sqlite:///{path}")
    return path


@pytest.fixture
def book_file(empty_book_file: Path, tmp_path: Path) -> Path:
    """An empty book of this test's own."""
    return Path(shutil.copy(empty_book_file, tmp_path / "book.sqlite3"))


@pytest.fixture
def session(book_file: Path) -> Iterator[Session]:
    """A session inside one write on a started book; what the test did is thrown away."""
    engine = make_engine(f"sqlite:///{book_file}")
    with Session(engine) as opened:
        with transaction(opened):
            make_book(opened)
        connection = opened.connection(execution_options={"shopbook_writes": True})
        assert connection.in_transaction()
        yield opened
        opened.rollback()
    engine.dispose()


@pytest.fixture
def owner(session: Session) -> Actor:
    """An owner who is also desk and technician."""
    return make_person(session, "Noor", Role.OWNER, Role.DESK, Role.TECHNICIAN)


@pytest.fixture
def now() -> datetime:
    """A working moment: noon of a Thursday."""
    return NOON


@pytest.fixture
def act(session: Session, owner: Actor, now: datetime) -> Act:
    """What the owner does at noon."""
    return Act(session, owner, now)


@pytest.fixture
def config(book_file: Path, tmp_path: Path) -> Config:
    """Settings of a book in a folder of this test's own."""
    return read_config({"SHOPBOOK_DATA": str(tmp_path), "SHOPBOOK_DATABASE_URL": f"sqlite:///{book_file}"})


@pytest.fixture
def app(config: Config) -> Iterator[Flask]:
    """The program on a started book with an owner, a desk and a technician, its clock standing at noon."""
    made = create_app(config, TESTING=True, CLOCK=lambda: NOON)
    engine = make_engine(config.database_url)
    with Session(engine) as opened, transaction(opened):
        make_book(opened)
        make_person(opened, "Noor", Role.OWNER)
        make_person(opened, "Desk", Role.DESK)
        make_person(opened, "Dana", Role.TECHNICIAN, skills=("paint", "body"))
    engine.dispose()
    yield made
    with made.app_context():
        from shopbook.web.parts.act import db

        db.engine.dispose()


@pytest.fixture
def client(app: Flask) -> ShopClient:
    """A browser without pictures in which the owner is signed in."""
    return ShopClient(app).signed_in_as("Noor")
