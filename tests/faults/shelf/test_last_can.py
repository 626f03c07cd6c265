"""Two processes draw the last can at once: both lines are kept, and the second is flagged, on either database."""

import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.session import make_engine, transaction
from shopbook.models.shelf import Material, Movement
from shopbook.queries.shelf.movements import prove_material
from tests.makers.shelf import make_delivery, make_material
from tests.makers.shop import make_book

ROOT = Path(__file__).parents[3]
pytestmark = pytest.mark.processes
DRAWER = """
import sys
from datetime import UTC, datetime
from sqlalchemy.orm import Session
from shopbook.models.session import make_engine, transaction
from shopbook.queries.shelf.materials import get_material
from shopbook.services.act import Act
from shopbook.services.postings import Source
from shopbook.services.shelf.stock import draw_stock
from shopbook.trade.permissions import THE_PROGRAM

engine = make_engine(sys.argv[1])
print("ready", flush=True)
sys.stdin.readline()
with Session(engine) as session, transaction(session):
    clear = get_material(session, 1)
    draw_stock(Act(session, THE_PROGRAM, datetime(2026, 11, 5, 17, 0, tzinfo=UTC)), clear, 1_000_000, Source())
engine.dispose()
"""


def race(url: str) -> None:
    command = [sys.executable, "-W", "error", "-c", DRAWER, url]
    drawers = [
        subprocess.Popen(command, cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) for _ in range(2)
    ]
    for drawer in drawers:
        assert drawer.stdout is not None
        assert drawer.stdout.readline() == "ready\n"
    for drawer in drawers:
        assert drawer.stdin is not None
        drawer.stdin.write("go\n")
        drawer.stdin.flush()
    for drawer in drawers:
        drawer.communicate(timeout=60)
        assert drawer.returncode == 0


def put_last_can(url: str) -> None:
    engine = make_engine(url)
    with Session(engine) as session, transaction(session):
        make_book(session)
        make_delivery(session, make_material(session), 1)
    engine.dispose()


def look(url: str) -> None:
    engine = make_engine(url)
    with Session(engine) as session:
        clear = session.get_one(Material, 1)
        taken = session.scalars(select(Movement).where(Movement.kind == "issued").order_by(Movement.id)).all()
        assert [(line.quantity_thousandths, line.value_minor, line.is_flagged) for line in taken] == [
            (-1_000_000, -4000, False),
            (-1_000_000, -4000, True),
        ]
        assert (clear.on_hand_thousandths, clear.value_minor, clear.needs_count) == (-1_000_000, -4000, True)
        assert prove_material(session, clear).is_sound
    engine.dispose()


def test_two_processes_on_one_last_can_on_sqlite(empty_book_file: Path, tmp_path: Path) -> None:
    url = f"sqlite:///{Path(shutil.copy(empty_book_file, tmp_path / 'book.sqlite3')).as_posix()}"
    put_last_can(url)
    race(url)
    look(url)


@pytest.mark.postgresql
def test_two_processes_on_one_last_can_on_postgresql(postgres_url: str) -> None:
    put_last_can(postgres_url)
    race(postgres_url)
    look(postgres_url)
