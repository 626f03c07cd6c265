"""Each stored drying time of an old book becomes one of its coat, with what lay between, never less than before."""

from pathlib import Path

import pytest
from sqlalchemy import Engine, text

from shopbook.models.schema import downgrade_schema, upgrade_schema
from shopbook.models.session import WRITES, make_engine
from tests.migrations.old_books import old_book

BEFORE, OWN = "20261130_nameless", "20261130_coats"
_STORED = text(
    "SELECT id, job_id, position, code, not_before_minutes, not_after_minutes, finished_at FROM stage "
    "WHERE struck_at IS NULL ORDER BY job_id, position"
)


@pytest.fixture
def old(tmp_path: Path) -> tuple[str, Engine]:
    """The full book of the version before, brought to just before this."""
    url = old_book(tmp_path)
    upgrade_schema(url, BEFORE)
    return url, make_engine(url)


def test_no_coat_of_an_old_book_gets_less_time_than_it_had(old: tuple[str, Engine]) -> None:
    url, engine = old
    with engine.connect() as connection:
        stored = connection.execute(_STORED).all()
    upgrade_schema(url, OWN)
    with engine.connect() as connection:
        rows = connection.execute(text("SELECT * FROM coat_wait WHERE NOT is_inside")).all()
    jobs = {row.id: row.job_id for row in stored}
    longest: dict[int, int] = {}
    cleared: dict[int, int] = {}
    for row in rows:
        longest[row.stage_id] = max(longest.get(row.stage_id, 0), row.not_before_minutes)
        if row.coat == "clear" and row.stage_id in jobs:
            cleared[jobs[row.stage_id]] = max(cleared.get(jobs[row.stage_id], 0), row.not_before_minutes)
    unmask = [row for row in stored if row.code == "unmask" and row.job_id in cleared]
    assert len(unmask) > 20
    for row in unmask:
        # 45 minutes until the tape came off, where the old plan only reckoned with them.
        assert cleared[row.job_id] >= row.not_before_minutes + (45 if row.finished_at is None else 0)
    for row in stored:
        if row.not_before_minutes and row.code in {"prime", "seal", "prime_part"}:
            assert longest[row.id] >= row.not_before_minutes


def test_a_wait_that_the_shop_typed_goes_to_the_coat_with_what_lay_between(old: tuple[str, Engine]) -> None:
    """Polish after 20 hours from unmasking, typed; 45 minutes until the tape and 18 minutes of it come on top."""
    url, engine = old
    with engine.connect().execution_options(**{WRITES: True}) as connection, connection.begin():
        job_id = connection.scalar(
            text("SELECT job_id FROM stage WHERE code = 'unmask' AND finished_at IS NULL AND struck_at IS NULL LIMIT 1")
        )
        connection.execute(
            text(
                "UPDATE stage SET not_before_minutes = 1200, planned_minutes = 18 "
                "WHERE job_id = :job AND code = 'unmask'"
            ),
            {"job": job_id},
        )
        connection.execute(
            text(
                "UPDATE stage SET not_before_minutes = 45, finished_at = NULL "
                "WHERE job_id = :job AND code = 'base_clear'"
            ),
            {"job": job_id},
        )
    upgrade_schema(url, OWN)
    with engine.connect() as connection:
        found = connection.execute(
            text(
                "SELECT DISTINCT coat, opens, not_before_minutes FROM coat_wait JOIN stage ON stage.id = stage_id "
                "WHERE job_id = :job AND coat = 'clear' AND opens = 'sand'"
            ),
            {"job": job_id},
        ).all()
    assert [tuple(row) for row in found] == [("clear", "sand", 1200 + 45 + 18)]


def test_the_way_back_puts_the_longest_wait_behind_its_stage(old: tuple[str, Engine]) -> None:
    url, engine = old
    upgrade_schema(url, OWN)
    downgrade_schema(url, BEFORE)
    with engine.connect() as connection:
        waits = connection.execute(text("SELECT not_before_minutes, wait_detail FROM stage WHERE code = 'prime'")).all()
    assert all(row.not_before_minutes >= 20 and '"inside"' in row.wait_detail for row in waits)
