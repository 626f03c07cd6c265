"""The book as a whole: references, the guards of its ledgers by their text, its settings, and its acts."""

from collections.abc import Iterator

from sqlalchemy import Text, inspect, select, text, type_coerce
from sqlalchemy.orm import Session

from shopbook.models.guards import read_guards, wanted_guards
from shopbook.models.shop import ActKey, Setting
from shopbook.queries.reports.proofs.faults import Claim, Fault, fault_of, read_json
from shopbook.trade.setting_values import is_readable


def _every_row_points_somewhere(session: Session) -> Iterator[Fault | None]:
    """SQLite's own check; PostgreSQL has never let such a row in."""
    yield from (None for _ in inspect(session.connection()).get_table_names())
    if session.get_bind().dialect.name == "sqlite":
        for table, row, target, _ in session.execute(text("PRAGMA foreign_key_check")):
            yield Fault(str(table), str(row), f"Row {row} of {table} points to a missing {target}")
        said = session.scalar(text("PRAGMA integrity_check"))
        yield fault_of("book", 1, f"The book's file is damaged: {said}", holds=said == "ok")


def _ledgers_are_guarded(session: Session) -> Iterator[Fault | None]:
    """Each ledger has its two triggers, word for word and switched on, and there is no trigger besides."""
    there = read_guards(session.connection())
    for name, (table, wanted) in wanted_guards(session.connection()).items():
        found = there.pop(name, None)
        lost = "has lost its guards" if found is None else "has a guard that was changed"
        said = f"The ledger {table} {lost} ({name}): run shopbook upgrade to restore it"
        yield fault_of(table, name, said, holds=found is not None and found[1] == wanted)
    for name, (table, _) in sorted(there.items()):
        yield Fault(table, name, f"The trigger {name} on {table} is not Shopbook's: it may change what is written")


def _settings_read(session: Session) -> Iterator[Fault | None]:
    """Every line of every setting has a name that is known and a value that can be read."""
    rows = session.execute(select(Setting.id, Setting.name, type_coerce(Setting.value, Text)).order_by(Setting.id))
    for key, name, kept in rows:
        holds = kept == "" or is_readable(name, read_json(kept))
        yield fault_of("setting", key, f"The setting {name} cannot be read: {str(kept)[:60]}", holds=holds)


def _acts_kept_their_result(session: Session) -> Iterator[Fault | None]:
    for key, result in session.execute(select(ActKey.key, type_coerce(ActKey.result, Text))):
        yield fault_of("act_key", key, f"The act with the key {key} has no result", holds=bool(read_json(result)))


CLAIMS = (
    Claim("references", "every reference points to an existing row", _every_row_points_somewhere),
    Claim("guards", "ledgers are append-only, by our guards alone", _ledgers_are_guarded),
)
LAST_CLAIMS = (
    Claim("settings", "every setting can be read", _settings_read),
    Claim("acts", "every act has its result", _acts_kept_their_result),
)
