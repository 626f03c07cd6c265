"""An empty book of this program's own shape, to be taken back a version and brought forward again."""

from pathlib import Path

import pytest

from shopbook.models.schema import upgrade_schema


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgresql)])
def url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """A book at the newest migration, with nothing in it."""
    made = (
        str(request.getfixturevalue("empty_postgres_url"))
        if request.param == "postgresql"
        else f"sqlite:///{(tmp_path / 'old.sqlite3').as_posix()}"
    )
    upgrade_schema(made)
    return made
