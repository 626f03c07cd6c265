"""A book tried by several processes: the same claims, in the same order, with the same faults, as by one."""

import sqlite3
from contextlib import closing
from datetime import date

from sqlalchemy.orm import Session

from shopbook.commands.proving import prove_by
from shopbook.models.session import make_engine, transaction
from shopbook.models.shop import LogLine
from shopbook.queries.reports.proofs import Proof
from tests.commands.test_commands import Shell, fill
from tests.rows import MOMENT


def tried_by(workers: int, shell: Shell) -> list[Proof]:
    engine = make_engine(shell.config.database_url)
    try:
        return list(prove_by(workers, shell.config, engine))
    finally:
        engine.dispose()


def test_two_processes_find_what_one_finds(shell: Shell) -> None:
    shell.run("init")
    fill(shell)
    with closing(sqlite3.connect(shell.config.book_file or "")) as connection, connection:
        connection.execute("DROP TRIGGER guard_log_line_update")
        connection.execute("DROP TRIGGER guard_labour_rate_delete")
        connection.execute("UPDATE log_line SET words = 'another word' WHERE id = 1")
        connection.execute("DELETE FROM labour_rate WHERE id = (SELECT max(id) FROM labour_rate)")
    alone = tried_by(1, shell)
    found = {fault.table for proof in alone if proof.code == "seal_rows" for fault in proof.faults}
    assert found == {"log_line", "labour_rate"}
    assert tried_by(2, shell) == alone


def test_a_link_that_was_cut_out_is_missed_at_the_border_of_two_parts(shell: Shell) -> None:
    shell.run("init")
    fill(shell)
    engine = make_engine(shell.config.database_url)
    with Session(engine) as session:
        for _ in range(16):
            with transaction(session):
                session.add(LogLine(at=MOMENT, on=date(2026, 3, 8), act="try", subject="person", words=""))
    engine.dispose()
    with closing(sqlite3.connect(shell.config.book_file or "")) as connection, connection:
        (last,) = connection.execute("SELECT max(number) FROM seal").fetchone()
        connection.execute("DROP TRIGGER guard_seal_delete")
        connection.execute("DELETE FROM seal WHERE number = ?", (last // 2,))
    alone = tried_by(1, shell)
    assert [proof.code for proof in alone if proof.faults and proof.code == "seal_links"] == ["seal_links"]
    assert tried_by(2, shell) == alone
