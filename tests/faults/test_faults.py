"""Kill, race, starve: whatever was said to be done is in the book afterwards, and nothing is there by half."""

import contextlib
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import Engine, func, select
from sqlalchemy.orm import Session

from shopbook.config import read_config
from shopbook.models.session import make_engine, transaction
from shopbook.models.shelf import Material, Movement
from shopbook.models.shop import ActKey, LogLine, NumberCounter
from shopbook.outside.files import is_kept_whole, list_files
from shopbook.queries.reports.proofs import list_proofs
from shopbook.services.act import Act
from shopbook.services.postings import post_stock, stock_of
from shopbook.services.shelf.materials import add_material
from shopbook.trade.permissions import THE_PROGRAM
from shopbook.trade.stock.average_cost import receive
from tests.faults.shop import NOW
from tests.makers import make_book
from tests.servers import Postgres

pytestmark = pytest.mark.processes
posix_only = pytest.mark.skipif(os.name != "posix", reason="limits and signals of this kind are POSIX's")


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgresql)])
def url(request: pytest.FixtureRequest) -> str:
    """A started book with one material on its shelf, in each database."""
    if request.param == "postgresql":
        found = str(request.getfixturevalue("postgres_url"))
    else:
        found = f"sqlite:///{request.getfixturevalue('book_file').as_posix()}"
    engine = make_engine(found)
    with Session(engine) as session, transaction(session):
        make_book(session)
        put_clear_on_the_shelf(session)
    engine.dispose()
    return found


def put_clear_on_the_shelf(session: Session) -> None:
    pack = {"pack_thousandths": 1_000_000, "pack_name": "can"}
    add_material(Act(session, THE_PROGRAM, NOW), name="clear", unit="ml", way="measured", **pack)


@pytest.fixture
def engine(url: str) -> Iterator[Engine]:
    made = make_engine(url)
    yield made
    made.dispose()


def begin(*words: object) -> subprocess.Popen[str]:
    command = [sys.executable, "-m", "tests.faults.shop", *map(str, words)]
    return subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)


def faults(engine: Engine) -> list[str]:
    with Session(engine) as session:
        return [fault for proof in list_proofs(session) for fault in proof.faults]


def count(engine: Engine, table: type) -> int:
    with Session(engine) as session:
        return session.scalar(select(func.count()).select_from(table)) or 0


@posix_only
def test_a_book_is_whole_after_its_server_was_killed_in_the_middle_of_acts(url: str, engine: Engine) -> None:
    said: list[int] = []
    for turn in range(6):
        process = begin("act", url, f"life{turn}", 10_000)
        assert process.stdout is not None
        said.append(int(process.stdout.readline()))
        time.sleep(0.05 + turn * 0.037)
        os.kill(process.pid, signal.SIGKILL)
        rest, _ = process.communicate(timeout=30)
        # The last line may have been cut while it was being said.
        said += [int(line) for line in rest.splitlines(keepends=True) if line.endswith("\n")]
        assert faults(engine) == []
    with Session(engine) as session:
        last = session.get_one(NumberCounter, ("raced", 0)).last_number
    assert len(said) == len(set(said))
    assert max(said) <= last <= max(said) + 1
    # Each act is whole: one key, one log line beside the shelf's own, at least two movements a number.
    assert count(engine, ActKey) == count(engine, LogLine) - 1 == last
    assert count(engine, Movement) >= 2 * last


@posix_only
def test_a_full_disk_stops_acts_and_harms_none_that_was_said(book_file: Path, tmp_path: Path) -> None:
    engine = make_engine(f"sqlite:///{book_file}")
    with Session(engine) as session, transaction(session):
        make_book(session)
        put_clear_on_the_shelf(session)
    room = book_file.stat().st_size + 400_000
    process = begin("act", f"sqlite:///{book_file}", "starved", 10_000, room)
    said, error = process.communicate(timeout=120)
    assert process.returncode != 0
    assert "disk" in error
    assert len(said.split()) >= 5
    assert faults(engine) == []
    with Session(engine) as session:
        assert session.get_one(NumberCounter, ("raced", 0)).last_number == int(said.split()[-1])
    engine.dispose()


@posix_only
def test_a_full_disk_keeps_no_half_picture(tmp_path: Path) -> None:
    process = begin("keep", tmp_path, "-", 10, 150_000)
    said, error = process.communicate(timeout=60)
    assert process.returncode != 0
    assert "is full" in error
    assert said == ""
    assert [path for path in tmp_path.rglob("*") if path.is_file()] == []


@posix_only
def test_a_killed_writer_of_pictures_leaves_only_whole_ones(tmp_path: Path) -> None:
    process = begin("keep", tmp_path, "-", 5000)
    assert process.stdout is not None
    first = process.stdout.readline().strip()
    time.sleep(0.2)
    os.kill(process.pid, signal.SIGKILL)
    process.communicate(timeout=30)
    assert is_kept_whole(tmp_path, first)
    assert all(is_kept_whole(tmp_path, path.name) for path in list_files(tmp_path))


def test_two_processes_take_the_last_can_and_the_second_is_flagged(url: str, engine: Engine) -> None:
    with Session(engine) as session, transaction(session):
        material = session.get_one(Material, 1)
        post_stock(Act(session, THE_PROGRAM, NOW), material, receive(stock_of(material), 1_000_000, 4_200))
    both = [begin("last", url), begin("last", url)]
    for process in both:
        assert process.stdout is not None
        assert process.stdout.readline() == "ready\n"
    for process in both:
        assert process.stdin is not None
        process.stdin.write("go\n")
        process.stdin.flush()
    said = sorted(process.communicate(timeout=60)[0].strip() for process in both)
    assert said == ["False", "True"]
    with Session(engine) as session:
        material = session.get_one(Material, 1)
        # Both cans went at what the one had cost; the second is owed by the shelf.
        assert (material.on_hand_thousandths, material.value_minor, material.needs_count) == (-1_000_000, -4_200, True)
    assert faults(engine) == []


def test_three_processes_give_numbers_without_a_gap(url: str, engine: Engine) -> None:
    processes = [begin("act", url, f"desk{number}", 60) for number in range(3)]
    numbers = [int(number) for process in processes for number in process.communicate(timeout=120)[0].split()]
    assert sorted(numbers) == list(range(1, 181))
    assert faults(engine) == []


@posix_only
def test_a_second_server_on_one_book_is_refused_and_the_first_ends_when_asked(book_folder: Path) -> None:
    environment = {**os.environ, "SHOPBOOK_DATA": str(book_folder), "SHOPBOOK_DATABASE_URL": ""}
    with server(environment, port=free_port()) as first:
        second = subprocess.run(
            [sys.executable, "-m", "shopbook.cli", "serve", "--port", str(free_port())],
            env=environment,
            capture_output=True,
            text=True,
            timeout=60,
            check=False,
        )
        assert second.returncode == 1
        assert "Another Shopbook is using" in second.stderr
        first.terminate()
        assert first.wait(30) == 0
    with server(environment, port=free_port()):
        assert read_config(environment).lock_file.exists()


def free_port() -> int:
    import socket

    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@contextlib.contextmanager
def server(environment: dict[str, str], port: int) -> Iterator[subprocess.Popen[str]]:
    """`shopbook serve`, up and saying so."""
    command = [sys.executable, "-m", "shopbook.cli", "serve", "--port", str(port)]
    process = subprocess.Popen(command, env=environment, stdout=subprocess.PIPE, text=True)
    assert process.stdout is not None
    try:
        assert f"http://127.0.0.1:{port}/" in process.stdout.readline()
        yield process
    finally:
        process.terminate()
        process.communicate(timeout=30)


@pytest.mark.postgresql
def test_a_database_that_went_away_is_a_sentence(postgres: Postgres, tmp_path: Path) -> None:
    environment = {**os.environ, "SHOPBOOK_DATA": str(tmp_path), "SHOPBOOK_DATABASE_URL": postgres.url("never_made")}
    done = subprocess.run(
        [sys.executable, "-m", "shopbook.cli", "check"], env=environment, capture_output=True, text=True, check=False
    )
    assert done.returncode == 1
    assert done.stderr.startswith("The database does not respond: ")
    assert "Traceback" not in done.stderr
