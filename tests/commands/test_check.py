"""`shopbook check`: what lies beside the book, its form for other programs, and the secret."""

import hashlib
import json
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import select, update
from sqlalchemy.orm import Session

from shopbook.commands.kept import note_own_secret
from shopbook.models.session import make_engine, transaction
from shopbook.models.shop import Person
from shopbook.outside.files import keep_bytes
from shopbook.outside.passwords import hash_pin
from tests.commands.test_commands import Shell, fill

BODIES = {"picture": b"a picture", "thumbnail": b"a small one", "paper": b"a paper"}


@pytest.fixture
def keeping(shell: Shell) -> dict[str, Path]:
    """A book with one kept file of each kind; answers where they lie."""
    shell.run("init")
    fill(shell)
    hashes = {kind: hashlib.sha256(body).hexdigest() for kind, body in BODIES.items()}
    with closing(sqlite3.connect(shell.config.book_file or "")) as connection, connection:
        for guard in ("picture", "paper", "month_close"):
            connection.execute(f"DROP TRIGGER guard_{guard}_update")
        pair = (hashes["picture"], hashes["thumbnail"])
        connection.execute("UPDATE picture SET sha256 = ?, thumbnail_sha256 = ?", pair)
        connection.execute("UPDATE paper SET sha256 = ?, size_bytes = ?", (hashes["paper"], len(BODIES["paper"])))
        connection.execute("UPDATE month_close SET sha256 = ?", (hashes["paper"],))
    paths = {"paper": shell.config.papers_folder / hashes["paper"][:2] / hashes["paper"]}
    keep_bytes(shell.config.papers_folder, BODIES["paper"])
    for kind in ("picture", "thumbnail"):
        paths[kind] = shell.config.pictures_folder / hashes[kind][:2] / f"{hashes[kind]}.jpg"
        paths[kind].parent.mkdir(parents=True, exist_ok=True)
        paths[kind].write_bytes(BODIES[kind])
    return paths


def alter(path: Path, other: Path) -> None:
    path.write_bytes(path.read_bytes()[:-1] + b"!")


def cut(path: Path, other: Path) -> None:
    path.write_bytes(path.read_bytes()[:-1])


def lose(path: Path, other: Path) -> None:
    path.unlink()


def swap(path: Path, other: Path) -> None:
    kept = path.read_bytes()
    shutil.copy(other, path)
    other.write_bytes(kept)


def claims(shell: Shell) -> dict[str, list[dict[str, str]]]:
    """The faults by the code of their claim, as other programs read them."""
    said = json.loads(shell.run("check", "--json").output)
    return {claim["code"]: claim["faults"] for claim in said["claims"]}


@pytest.mark.parametrize("harm", [alter, cut, lose, swap])
@pytest.mark.parametrize("kind", BODIES)
def test_each_kind_of_kept_file_is_found_altered_cut_missing_or_swapped(
    shell: Shell, keeping: dict[str, Path], kind: str, harm: Callable[[Path, Path], None]
) -> None:
    assert claims(shell)["files"] == []
    harm(keeping[kind], keeping["paper" if kind != "paper" else "picture"])
    table = "paper" if kind == "paper" else "picture"
    assert (table, "1") in {(fault["table"], fault["key"]) for fault in claims(shell)["files"]}


def test_check_answers_other_programs_in_a_form_that_stays(begun: Shell) -> None:
    result = begun.run("check", "--json")
    said = json.loads(result.output)
    assert (result.exit_code, said["form"], said["is_sound"], said["notes"]) == (0, 1, True, [])
    assert {frozenset(claim) for claim in said["claims"]} == {frozenset({"code", "claim", "count", "faults"})}
    codes = [claim["code"] for claim in said["claims"]]
    assert len(set(codes)) == len(codes) >= 30
    with closing(sqlite3.connect(begun.config.book_file or "")) as connection, connection:
        connection.execute("INSERT INTO number_counter VALUES ('order', 0, 5)")
    result = begun.run("check", "--json")
    said = json.loads(result.output)
    faults = [fault for claim in said["claims"] for fault in claim["faults"]]
    assert (result.exit_code, said["is_sound"]) == (1, False)
    assert faults == [
        {"table": "number_counter", "key": "order/0", "said": "order : the counter says 5, the highest number is 0"}
    ]


def test_a_lost_or_foreign_secret_is_found_and_never_noted_over(begun: Shell) -> None:
    assert begun.run("upgrade").exit_code == 0
    assert claims(begun)["secret"] == []
    begun.config.secret_file.unlink()
    assert "is missing" in claims(begun)["secret"][0]["said"]
    begun.config.read_secret()
    assert "is not the secret" in claims(begun)["secret"][0]["said"]
    engine = make_engine(begun.config.database_url)
    note_own_secret(begun.config, engine)
    engine.dispose()
    assert claims(begun)["secret"] != []


def test_a_new_secret_on_purpose_ends_every_pin_and_is_the_one_that_is_known_from_then_on(begun: Shell) -> None:
    engine = make_engine(begun.config.database_url)
    old = begun.config.read_secret()
    note_own_secret(begun.config, engine)
    with Session(engine) as session, transaction(session):
        session.execute(update(Person).values(pin_hash=hash_pin("7391", old)))
    begun.config.secret_file.write_text("lost", encoding="ascii")
    assert claims(begun)["secret"] != []
    said = begun.run("new-secret", "--yes").output
    assert "PINs that ended: 1." in said
    with Session(engine) as session:
        assert session.scalars(select(Person.pin_hash)).all() == [None]
    engine.dispose()
    assert begun.config.find_secret() not in (None, old)
    assert claims(begun)["secret"] == []
    assert claims(begun)["seal_rows"] == []
