"""Where the migrations lie, which one is newest, and how a database is brought there."""

from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.script import ScriptDirectory


def bundled(name: str) -> Path:
    """A folder that the wheel carries inside the package and a checkout holds beside it."""
    package = Path(__file__).resolve().parent.parent
    inside = package / name
    return inside if inside.is_dir() else package.parent / name


def alembic_config(url: str) -> Config:
    """Alembic's settings for a database address, without a file."""
    config = Config()
    config.set_main_option("script_location", str(bundled("migrations")).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    config.attributes["url"] = url
    return config


def newest_revision() -> str:
    """The migration that this program wants a book to stand at."""
    head = ScriptDirectory.from_config(alembic_config("")).get_current_head()
    if head is None:
        raise RuntimeError("there is no migration")
    return head


def is_known_revision(revision: str) -> bool:
    """Whether this program has that migration; a book at any other is from a newer one."""
    return any(known.revision == revision for known in ScriptDirectory.from_config(alembic_config("")).walk_revisions())


def upgrade_schema(url: str, to: str = "head") -> None:
    """Bring a database up to a migration."""
    command.upgrade(alembic_config(url), to)


def downgrade_schema(url: str, to: str) -> None:
    """Take a database back to a migration ("base": to nothing)."""
    command.downgrade(alembic_config(url), to)
