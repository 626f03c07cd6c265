"""The command line: what each command leaves behind and prints; every refusal is a sentence with exit code 1."""

import socket
import sqlite3
from contextlib import closing
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from sqlalchemy import text
from sqlalchemy.orm import Session

from shopbook.cli import main
from shopbook.config import Config, read_config
from shopbook.models.copying import Contents, copy_book, weigh_book
from shopbook.models.schema import downgrade_schema, newest_revision
from shopbook.models.session import WRITES, make_engine, transaction
from shopbook.models.shop import Setting
from shopbook.outside.backups import list_backups
from shopbook.outside.files import keep_bytes, list_files
from shopbook.trade.catalogue.releases import NEWER_BOOK
from tests.makers import STARTED, make_book, make_person
from tests.rows import fill_every_table
from tests.shipped import shipping, with_figure


@dataclass(frozen=True, slots=True)
class Shell:
    """The command line over one data folder."""

    folder: Path
    environment: dict[str, str]

    def run(self, *words: str, answers: str | None = None) -> Result:
        return CliRunner().invoke(main, list(words), env=self.environment, input=answers, catch_exceptions=False)

    def refused(self, *words: str) -> str:
        """The sentence of a command that must not be done."""
        result = self.run(*words)
        assert result.exit_code == 1, result.output
        assert "Traceback" not in result.output
        return " ".join(result.stderr.split())

    @property
    def config(self) -> Config:
        return read_config(self.environment)


@pytest.fixture
def shell(tmp_path: Path) -> Shell:
    """A data folder that is not there yet."""
    folder = tmp_path / "book of the shop"
    return Shell(folder, {"SHOPBOOK_DATA": str(folder), "SHOPBOOK_DATABASE_URL": "", "SHOPBOOK_BACKUP_FOLDER": ""})


@pytest.fixture
def begun(shell: Shell) -> Shell:
    """A book whose three questions were answered."""
    return begin(shell)


def begin(shell: Shell) -> Shell:
    """Init, and the three questions answered."""
    assert shell.run("init").exit_code == 0
    engine = make_engine(shell.config.database_url)
    with Session(engine) as session, transaction(session):
        make_book(session)
        make_person(session, "Noor")
    engine.dispose()
    return shell


def test_init_makes_a_book_a_secret_and_a_code_once(shell: Shell) -> None:
    first = shell.run("init")
    code = shell.config.start_code_file.read_text(encoding="ascii")
    secret = shell.config.read_secret()
    assert f"http://127.0.0.1:8210/start?code={code}" in first.output
    assert len(code) == 14
    assert shell.run("init").output == first.output
    assert shell.config.read_secret() == secret
    assert len(secret) == 32


def test_init_says_when_the_book_is_in_use(begun: Shell) -> None:
    begun.config.start_code_file.unlink()
    assert "already started" in begun.run("init").output
    assert not begun.config.start_code_file.exists()


@pytest.mark.parametrize("words", [("serve",), ("check",), ("backup",), ("upgrade",), ("move", "--to", "sqlite://")])
def test_a_folder_without_a_book_is_said(shell: Shell, words: tuple[str, ...]) -> None:
    assert "There is no book in" in shell.refused(*words)


@pytest.mark.parametrize(
    "words", [("serve",), ("check",), ("person", "add", "X", "--role", "owner", "--password", "p" * 12)]
)
def test_a_book_of_another_schema_is_refused_with_the_remedy(shell: Shell, words: tuple[str, ...]) -> None:
    shell.run("init")
    downgrade_schema(shell.config.database_url, "base")
    assert "shopbook init" in shell.refused(*words)
    with closing(sqlite3.connect(shell.config.book_file or "")) as connection, connection:
        connection.execute("INSERT INTO alembic_version VALUES ('20261126_sign_in')")
    assert "shopbook upgrade" in shell.refused(*words)


def test_upgrade_of_a_book_that_is_up_to_date_does_nothing(begun: Shell) -> None:
    assert "already" in begun.run("upgrade").output
    assert list_backups(begun.folder / "backups") == []


@pytest.mark.parametrize("words", [("serve",), ("check",), ("upgrade",), ("restore",)])
def test_a_book_from_a_newer_program_gets_one_sentence_and_nothing_is_done(
    begun: Shell, tmp_path: Path, words: tuple[str, ...]
) -> None:
    with closing(sqlite3.connect(begun.config.book_file or "")) as connection, connection:
        connection.execute("UPDATE alembic_version SET version_num = '20990101_future'")
    if words == ("restore",):
        begun.run("backup", "--to", str(tmp_path / "kept"))
        words = (*words, str(list_backups(tmp_path / "kept")[0]), "--to", str(tmp_path / "there"))
    assert begun.refused(*words) == NEWER_BOOK
    assert list_backups(begun.folder / "backups") == []
    assert not (tmp_path / "there").exists()


def test_other_shipped_figures_want_an_upgrade_too_and_the_book_keeps_its_own(
    begun: Shell, monkeypatch: pytest.MonkeyPatch
) -> None:
    with shipping(monkeypatch, with_figure("stage.wax", "panel_minutes", 99)):
        assert "shopbook upgrade" in begun.refused("serve")
        told = begun.run("upgrade").output
        assert "the book keeps its own" in told
        assert "Backup of the book before the upgrade" in told
        assert begun.run("check").exit_code == 0
        assert "the book keeps its own" not in begun.run("upgrade").output
    assert len(list_backups(begun.folder / "backups")) == 1
    # Back to the program of before, which does not know the figures of the newer one.
    assert begun.refused("upgrade") == begun.refused("serve") == NEWER_BOOK


def test_a_person_is_added_with_several_roles(begun: Shell) -> None:
    words = ("person", "add", "Ada Quill", "--role", "owner", "--role", "technician", "--skill", "paint")
    assert begun.run(*words, answers="a long enough one\na long enough one\n").exit_code == 0
    with closing(sqlite3.connect(begun.config.book_file or "")) as connection:
        roles = connection.execute(
            "SELECT role FROM person_role JOIN person ON id = person_id WHERE name = 'Ada Quill'"
        )
        assert sorted(roles.fetchall()) == [("owner",), ("technician",)]
        kept = connection.execute("SELECT password_hash FROM person WHERE name = 'Ada Quill'").fetchone()[0]
    assert kept.startswith("$argon2id$")
    assert "has or had that name" in begun.refused(*words, "--password", "another long one")
    assert "at least 10" in begun.refused("person", "add", "Y", "--role", "desk", "--password", "short")


def test_a_sound_book_passes_the_check(begun: Shell) -> None:
    result = begun.run("check")
    assert result.exit_code == 0, result.output
    assert "FAULT" not in result.output
    assert result.output.count("ok     ") >= 14


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (
            "UPDATE material SET on_hand_thousandths = on_hand_thousandths - 1",
            "differ from the movements by 1 thousandths",
        ),
        ("UPDATE material SET value_minor = value_minor + 2", "and -2 minor units"),
        ("DROP TRIGGER guard_movement_delete", "The ledger movement has lost its guards"),
        (
            "DROP TRIGGER guard_invoice_update; UPDATE invoice SET tax_minor = tax_minor - 1, "
            "net_minor = net_minor + 1",
            "the paper says",
        ),
        ("UPDATE number_counter SET last_number = 7 WHERE series <> 'x'", "numbers from"),
        ("UPDATE act_key SET result = ''", "has no result"),
        ("DROP TRIGGER guard_clock_share_update; UPDATE clock_share SET minutes = minutes + 1", "its shares"),
        ("DROP TRIGGER guard_allocation_update; UPDATE allocation SET amount_minor = 9000000003", "paid or credited"),
        ("PRAGMA foreign_keys = OFF; DELETE FROM customer", "points to a missing customer"),
    ],
)
def test_the_check_names_what_is_off(shell: Shell, change: str, said: str) -> None:
    shell.run("init")
    fill(shell)
    assert shell.run("check").exit_code == 0
    with closing(sqlite3.connect(shell.config.book_file or "")) as connection:
        connection.executescript(change)
    result = shell.run("check")
    assert result.exit_code == 1
    assert said in result.output


def fill(shell: Shell) -> None:
    """A row in every table, and the files that two of them name."""
    engine = make_engine(shell.config.database_url)
    with engine.connect().execution_options(**{WRITES: True}) as connection, connection.begin():
        fill_every_table(connection)
    engine.dispose()
    paper = keep_bytes(shell.config.papers_folder, b"")
    picture = shell.config.pictures_folder / paper.sha256[:2] / f"{paper.sha256}.jpg"
    picture.parent.mkdir(parents=True)
    picture.touch()


def test_the_check_names_a_lost_picture(shell: Shell) -> None:
    shell.run("init")
    fill(shell)
    for path in list_files(shell.config.pictures_folder):
        path.unlink()
    result = shell.run("check")
    assert result.exit_code == 1
    assert "is missing  [picture 1]" in result.output


def test_a_backup_restores_the_whole_book_elsewhere(begun: Shell, tmp_path: Path) -> None:
    keep_bytes(begun.config.papers_folder, b"a paper")
    made = begun.run("backup", "--to", str(tmp_path / "kept"))
    assert made.exit_code == 0
    (file,) = list_backups(tmp_path / "kept")
    there = tmp_path / "other machine"
    assert begun.run("restore", str(file), "--to", str(there)).exit_code == 0
    other = Shell(there, {**begun.environment, "SHOPBOOK_DATA": str(there)})
    assert other.run("check").exit_code == 0
    assert other.config.read_secret() == begun.config.read_secret()
    assert differing(begun, other) == {"log_line", "seal", "setting"}
    assert "is not empty" in begun.refused("restore", str(file), "--to", str(there))


def differing(one: Shell, other: Shell) -> set[str]:
    """The tables that differ: after a restore a line of the log and a link of the seal say that it was one."""
    here, there = weigh(one), weigh(other)
    assert set(here) == set(there)
    return {name for name in here if here[name] != there[name]}


def weigh(shell: Shell) -> dict[str, Contents]:
    engine = make_engine(shell.config.database_url)
    found = weigh_book(engine)
    engine.dispose()
    return found


def test_a_backup_goes_where_the_book_says(begun: Shell, tmp_path: Path) -> None:
    engine = make_engine(begun.config.database_url)
    with Session(engine) as session, transaction(session):
        named = str(tmp_path / "second disk")
        session.add(Setting(name="backup_folder", value=named, from_on=date(2026, 1, 1), at=STARTED))
    engine.dispose()
    assert begun.run("backup").exit_code == 0
    assert len(list_backups(tmp_path / "second disk")) == 1


def test_a_taken_port_is_a_sentence(begun: Shell) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        assert f"Port {port} is in use" in begun.refused("serve", "--port", str(port))


def test_no_address_and_a_full_database_are_refused_as_targets(begun: Shell, tmp_path: Path) -> None:
    assert "not a database address" in begun.refused("move", "--to", "nonsense")
    assert "does not respond" in begun.refused("move", "--to", "postgresql+psycopg://nobody@127.0.0.1:1/none")
    assert "already has a book" in begun.refused("move", "--to", begun.config.database_url)


@pytest.mark.postgresql
def test_a_book_moves_to_postgresql_and_goes_on_there(begun: Shell, empty_postgres_url: str, tmp_path: Path) -> None:
    result = begun.run("move", "--to", empty_postgres_url)
    assert result.exit_code == 0, result.output
    assert "match" in result.output
    there = Shell(begun.folder, {**begun.environment, "SHOPBOOK_DATABASE_URL": empty_postgres_url})
    assert weigh(there) == weigh(begun)
    assert there.run("person", "add", "Next", "--role", "desk", "--password", "long enough now").exit_code == 0
    assert there.run("check").exit_code == 0
    assert "already has a book" in begun.refused("move", "--to", empty_postgres_url)
    assert there.run("backup", "--to", str(tmp_path / "kept")).exit_code == 0
    (file,) = list_backups(tmp_path / "kept")
    begun.run("restore", str(file), "--to", str(tmp_path / "back"))
    back = Shell(tmp_path / "back", {**begun.environment, "SHOPBOOK_DATA": str(tmp_path / "back")})
    assert differing(back, there) == {"log_line", "seal", "setting"}
    assert back.run("check").exit_code == 0


@pytest.mark.postgresql
def test_every_kind_of_value_survives_the_move(shell: Shell, postgres_url: str) -> None:
    shell.run("init")
    fill(shell)
    here, there = make_engine(shell.config.database_url), make_engine(postgres_url)
    copy_book(here, there)
    assert weigh_book(here) == weigh_book(there)
    with there.connect() as connection:
        assert connection.scalar(text("SELECT version_num FROM alembic_version")) == newest_revision()
    with pytest.raises(ValueError, match="not empty"):
        copy_book(here, there)
    here.dispose()
    there.dispose()
