"""Pulled plugs and two thumbs at once: a finished stage is whole or not begun, and one press starts one clock."""

import os
import shutil
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from flask import Flask
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.floor import ClockEntry, ClockShare, Mix, MixPart, MixShare, RunningClock
from shopbook.models.jobs import Stage
from shopbook.models.session import make_engine, transaction
from shopbook.models.shelf import Movement
from shopbook.queries.reports.proofs import list_proofs
from shopbook.queries.shop.people import find_person_named
from shopbook.services.act import Act
from shopbook.services.floor.clocks import start_clock
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.makers.floor import at, make_painter, make_use, make_work
from tests.makers.shelf import make_delivery, make_material
from tests.makers.shop import make_book

ROOT = Path(__file__).parents[3]
pytestmark = pytest.mark.processes
FINISHER = """
import sys
from datetime import timedelta
from sqlalchemy.orm import Session
from shopbook.models.session import make_engine, transaction
from shopbook.queries.shop.people import get_actor
from shopbook.services.act import Act
from shopbook.services.floor import finishing
from shopbook.services.floor.finishing import finish_stages
from tests.makers.floor import at

engine = make_engine(sys.argv[1])
halt = sys.argv[2]
kept = getattr(finishing, halt)

def say_and_wait(*given, **more):
    answer = kept(*given, **more)
    print("in the middle", flush=True)
    sys.stdin.readline()
    return answer

setattr(finishing, halt, say_and_wait)
with Session(engine) as session, transaction(session):
    finish_stages(Act(session, get_actor(session, 1), at("9:30")), [1])
"""


@pytest.fixture
def url(empty_book_file: Path, tmp_path: Path) -> Iterator[str]:
    """A book in which Dana's clock runs on a stage with clear to mix."""
    address = f"sqlite:///{shutil.copy(empty_book_file, tmp_path / 'book.sqlite3')}"
    engine = make_engine(address)
    with Session(engine) as session, transaction(session):
        make_book(session)
        dana, stage = make_painter(session), make_work(session)
        for name, role in (("Clear", "clear"), ("Activator", "clear_activator")):
            make_delivery(session, make_material(session, name, role=role))
            make_use(session, stage, role, 200)
        start_clock(Act(session, dana, at("9:00")), [stage.id])
    engine.dispose()
    return address


def finish(url: str, halt: str) -> subprocess.Popen[str]:
    command = [sys.executable, "-W", "error", "-c", FINISHER, url, halt]
    return subprocess.Popen(command, cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="this system has no such signal")
@pytest.mark.parametrize("halt", ["leave_stages", "make_mix", "end_stages"])
def test_killed_in_the_middle_of_done_nothing_is_half_and_the_next_press_does_it_all(url: str, halt: str) -> None:
    process = finish(url, halt)
    assert process.stdout is not None
    assert process.stdout.readline() == "in the middle\n"
    os.kill(process.pid, signal.SIGKILL)
    process.communicate(timeout=30)
    engine = make_engine(url)
    with Session(engine) as session:
        assert session.get_one(Stage, 1).finished_at is None
        assert session.scalar(select(func.count()).select_from(RunningClock)) == 1
        for table in (ClockEntry, ClockShare, Mix, MixPart, MixShare):
            assert session.scalar(select(func.count()).select_from(table)) == 0
        assert session.scalar(select(func.count()).where(Movement.kind == "issued")) == 0
    again = finish(url, halt)
    again.communicate("go on\n", timeout=60)
    assert again.returncode == 0
    with Session(engine) as session:
        assert session.get_one(Stage, 1).finished_at == at("9:30")
        assert session.scalar(select(func.sum(ClockEntry.minutes))) == 30
        assert (
            session.scalar(select(func.sum(Movement.quantity_thousandths)).where(Movement.kind == "issued")) == -400_000
        )
        assert [fault for proof in list_proofs(session) for fault in proof.faults] == []
    engine.dispose()


def test_two_thumbs_at_once_start_one_clock(app: Flask) -> None:
    """The same person on two phones: the last press counts, and no minute is lost or counted twice."""
    with app.app_context(), transaction(db.session()) as session:
        assert find_person_named(session, "Dana") is not None
        make_work(session)
        make_work(session, "Nib, polish")
    clients = [ShopClient(app).signed_in_as("Dana") for _ in range(2)]
    gate = threading.Barrier(2)
    answers: list[int] = []

    def press(place: int) -> None:
        gate.wait(10)
        answers.append(clients[place].press("/floor/start", stage=str(place + 1)).status_code)
        with app.app_context():
            db.session.remove()

    threads = [threading.Thread(target=press, args=(place,)) for place in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(30)
    assert answers == [303, 303]
    with app.app_context():
        assert db.session.scalar(select(func.count()).select_from(RunningClock)) == 1
        assert db.session.scalar(select(func.count()).select_from(ClockEntry)) == 0
