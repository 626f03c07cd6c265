"""Migrations on both databases, with rows in every table: up, down, half-failed; guards made anew; models agree."""

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Engine, inspect, select, text
from sqlalchemy.exc import DBAPIError

from shopbook.models import Base
from shopbook.models.guards import LEDGERS
from shopbook.models.schema import alembic_config, bundled, downgrade_schema, newest_revision, upgrade_schema
from shopbook.models.session import WRITES, make_engine
from shopbook.models.shop import LogLine
from tests.rows import fill_every_table

HALF_WAY = '''"""Dies half-way."""
import sqlalchemy as sa
from alembic import op
revision = "half_way"
down_revision = "{head}"
branch_labels = depends_on = None


def upgrade() -> None:
    op.create_table("half_made", sa.Column("id", sa.Integer(), primary_key=True))
    raise RuntimeError("the power went")


def downgrade() -> None:
    op.drop_table("half_made")
'''

# fmt: off
LANDED = [
    "book", "sign_in", "line_keys", "quoted_at", "tax_sources", "paint_materials", "given", "whose_sum",
    "decimals", "printed_name", "customer", "declined", "spoken", "withdrawn", "merged", "reopened",
    "corrections", "returned_fee", "move_reason", "said_at", "payer_declined", "way_back", "house_costs",
    "as_of", "approved_work", "door", "nameless", "papers", "seal", "coats", "damage_said", "colour_cards",
    "opening_lots", "dry_seen",
]
# fmt: on
"""Every step that a shop’s book may have taken, in order; a new one is added behind the last, never between."""

WIDER_LEDGER = '''"""Alters a ledger that has children, and one without."""
import sqlalchemy as sa
from alembic import op
revision = "wider_ledger"
down_revision = "{head}"
branch_labels = depends_on = None


def upgrade() -> None:
    for table in ("log_line", "movement", "invoice"):
        with op.batch_alter_table(table, recreate="auto") as batch:
            batch.alter_column("reason" if table != "log_line" else "act", type_=sa.String(400))


def downgrade() -> None:
    pass
'''


def test_a_step_that_a_book_may_stand_at_keeps_its_place() -> None:
    steps = [
        step.revision.partition("_")[2] for step in ScriptDirectory.from_config(alembic_config("")).walk_revisions()
    ]
    assert steps[::-1] == LANDED


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgresql)])
def empty_url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """A database with nothing in it."""
    if request.param == "postgresql":
        return str(request.getfixturevalue("empty_postgres_url"))
    return f"sqlite:///{(tmp_path / 'fresh.sqlite3').as_posix()}"


@pytest.fixture
def filled(empty_url: str) -> Iterator[Engine]:
    """A book at the newest migration with a row in every table."""
    upgrade_schema(empty_url)
    engine = make_engine(empty_url)
    with engine.connect().execution_options(**{WRITES: True}) as connection, connection.begin():
        fill_every_table(connection)
    yield engine
    engine.dispose()


def run_extra(url: str, folder: Path, body: str, name: str) -> None:
    """Upgrade with one more migration behind the newest."""
    scripts = folder / "migrations"
    shutil.copytree(bundled("migrations"), scripts, ignore=shutil.ignore_patterns("__pycache__"))
    (scripts / "versions" / f"{name}.py").write_text(body.format(head=newest_revision()), encoding="utf-8")
    config = alembic_config(url)
    config.set_main_option("script_location", str(scripts))
    command.upgrade(config, "head")


def revision(engine: Engine) -> str | None:
    with engine.connect() as connection:
        return connection.execute(text("SELECT version_num FROM alembic_version")).scalar()


def test_there_is_one_head() -> None:
    assert len(ScriptDirectory.from_config(alembic_config("")).get_heads()) == 1


def test_the_models_are_what_the_migrations_make(filled: Engine) -> None:
    with filled.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, Base.metadata) == []


def test_a_book_with_rows_goes_down_and_up_again(filled: Engine, empty_url: str) -> None:
    downgrade_schema(empty_url, "base")
    assert set(inspect(filled).get_table_names()) <= {"alembic_version"}
    upgrade_schema(empty_url)
    filled.dispose()
    with filled.connect().execution_options(**{WRITES: True}) as connection, connection.begin():
        assert fill_every_table(connection) == len(Base.metadata.sorted_tables)


def test_every_migration_can_be_taken_back_one_by_one(filled: Engine, empty_url: str) -> None:
    scripts = ScriptDirectory.from_config(alembic_config(""))
    for script in scripts.walk_revisions():
        downgrade_schema(empty_url, str(script.down_revision or "base"))
        upgrade_schema(empty_url, script.revision)
        assert revision(filled) == script.revision
        downgrade_schema(empty_url, str(script.down_revision or "base"))


def test_a_migration_that_dies_half_way_leaves_nothing_behind(filled: Engine, empty_url: str, tmp_path: Path) -> None:
    with pytest.raises(RuntimeError, match="the power went"):
        run_extra(empty_url, tmp_path, HALF_WAY, "half_way")
    assert not inspect(filled).has_table("half_made")
    assert revision(filled) == newest_revision()
    upgrade_schema(empty_url)


def test_guards_and_rows_survive_a_migration_that_makes_ledgers_anew(
    filled: Engine, empty_url: str, tmp_path: Path
) -> None:
    filled.dispose()
    run_extra(empty_url, tmp_path, WIDER_LEDGER, "wider_ledger")
    with filled.connect().execution_options(**{WRITES: True}) as connection:
        assert connection.scalar(select(LogLine.words)) is not None
        for name in LEDGERS:
            with pytest.raises(DBAPIError, match="append-only"), connection.begin_nested():
                connection.execute(text(f'DELETE FROM "{name}"'))
        if connection.dialect.name == "sqlite":
            assert connection.execute(text("PRAGMA foreign_key_check")).all() == []


def test_a_migration_imports_no_living_code() -> None:
    for path in bundled("migrations").joinpath("versions").glob("*.py"):
        assert "shopbook" not in path.read_text(encoding="utf-8"), path.name


@pytest.mark.processes
def test_the_command_of_the_developers_page_compares_the_book_with_the_models(tmp_path: Path) -> None:
    upgrade_schema(f"sqlite:///{(tmp_path / 'book.sqlite3').as_posix()}")
    root = Path(__file__).resolve().parents[2]
    environment = os.environ | {"SHOPBOOK_DATA": str(tmp_path), "SHOPBOOK_DATABASE_URL": "", "PYTHONPATH": str(root)}
    asked = [sys.executable, "-m", "alembic", "check"]
    told = subprocess.run(asked, cwd=root, env=environment, capture_output=True, text=True, timeout=60, check=False)
    assert "No new upgrade operations detected" in told.stdout + told.stderr
