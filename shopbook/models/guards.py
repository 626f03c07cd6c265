"""Database triggers that keep ledgers append-only; made anew by one function after every migration."""

from sqlalchemy import Connection, inspect

LEDGERS = (
    "approval",
    "approval_group",
    "allocation",
    "approval_reading",
    "approval_withdrawal",
    "approval_work",
    "attendance",
    "catalogue_entry",
    "clock_entry",
    "clock_share",
    "count_line",
    "delivery",
    "delivery_line",
    "delivery_price",
    "given_quote",
    "invoice",
    "invoice_approval",
    "invoice_line",
    "invoice_payer",
    "invoice_tax",
    "labour_rate",
    "line_match",
    "log_line",
    "mix",
    "mix_part",
    "mix_share",
    "mix_taken_back",
    "month_close",
    "month_reopening",
    "movement",
    "paper",
    "payment",
    "person_cost",
    "person_week",
    "picture",
    "picture_strike",
    "plan_version",
    "receipt",
    "seal",
    "setting",
    "stock_count",
    "tax_rate",
    "tax_return",
)

_LEDGERS_WITH_THE_SEAL = frozenset({"count_line", "delivery", "delivery_line", "person_cost", "picture", "stock_count"})


def make_guards(connection: Connection) -> None:
    """Drop and make the triggers of every ledger table that exists; for SQLite and PostgreSQL."""
    make = _guard_sqlite if connection.dialect.name == "sqlite" else _guard_postgresql
    for table in _to_guard(connection):
        make(connection, table)


def drop_guards(connection: Connection) -> None:
    """Take the triggers away; only for emptying a ledger while a book is moved or the sample is removed."""
    for table in _to_guard(connection):
        for verb in ("update", "delete"):
            on = "" if connection.dialect.name == "sqlite" else f' ON "{table}"'
            connection.exec_driver_sql(f"DROP TRIGGER IF EXISTS guard_{table}_{verb}{on}")


def _to_guard(connection: Connection) -> list[str]:
    """The ledgers that exist; before the seal the program of that time still changed rows of some of them."""
    present = set(inspect(connection).get_table_names())
    changed = _LEDGERS_WITH_THE_SEAL if "seal" not in present else frozenset()
    return [table for table in LEDGERS if table in present - changed]


def wanted_guards(connection: Connection) -> dict[str, tuple[str, str]]:
    """The triggers that a book of this program must have: table and text by the trigger's name."""
    write = _sqlite_guard if connection.dialect.name == "sqlite" else _postgresql_guard
    return {
        _name(table, verb): (table, _as_kept(write(table, verb), connection))
        for table in _to_guard(connection)
        for verb in _VERBS
    }


def read_guards(connection: Connection) -> dict[str, tuple[str, str]]:
    """Every trigger of the book, the same way; one that is switched off or calls another function reads otherwise."""
    is_sqlite = connection.dialect.name == "sqlite"
    rows = connection.exec_driver_sql(_READ_SQLITE if is_sqlite else _READ_POSTGRESQL)
    return {name: (table, said) for name, table, said in rows}


_VERBS = ("update", "delete")
_READ_SQLITE = "SELECT name, tbl_name, sql FROM sqlite_master WHERE type = 'trigger'"
_READ_POSTGRESQL = """
    SELECT t.tgname, c.relname,
           CASE WHEN t.tgenabled = 'O' THEN pg_get_triggerdef(t.oid, true) || ' ' || btrim(p.prosrc) ELSE 'off' END
    FROM pg_trigger AS t JOIN pg_class AS c ON c.oid = t.tgrelid JOIN pg_proc AS p ON p.oid = t.tgfoid
    WHERE NOT t.tgisinternal AND c.relnamespace = current_schema()::regnamespace
"""


def _as_kept(statement: str, connection: Connection) -> str:
    """How the database says a trigger back: SQLite as it was told, PostgreSQL plainly and with its function's body."""
    if connection.dialect.name == "sqlite":
        return statement
    return f"{statement.replace(chr(34), '')} {_BODY}"


def _name(table: str, verb: str) -> str:
    return f"guard_{table}_{verb}"


def _sqlite_guard(table: str, verb: str) -> str:
    return (
        f'CREATE TRIGGER {_name(table, verb)} BEFORE {verb.upper()} ON "{table}" '
        f"BEGIN SELECT RAISE(ABORT, '{table} is append-only'); END"
    )


def _postgresql_guard(table: str, verb: str) -> str:
    return (
        f'CREATE TRIGGER {_name(table, verb)} BEFORE {verb.upper()} ON "{table}" '
        "FOR EACH ROW EXECUTE FUNCTION shopbook_append_only()"
    )


_BODY = "BEGIN RAISE EXCEPTION USING MESSAGE = TG_TABLE_NAME || ' is append-only'; END"


def _guard_sqlite(connection: Connection, table: str) -> None:
    for verb in _VERBS:
        connection.exec_driver_sql(f"DROP TRIGGER IF EXISTS {_name(table, verb)}")
        connection.exec_driver_sql(_sqlite_guard(table, verb))


def _guard_postgresql(connection: Connection, table: str) -> None:
    connection.exec_driver_sql(
        f"CREATE OR REPLACE FUNCTION shopbook_append_only() RETURNS trigger LANGUAGE plpgsql AS $${_BODY}$$"
    )
    for verb in _VERBS:
        connection.exec_driver_sql(f'DROP TRIGGER IF EXISTS {_name(table, verb)} ON "{table}"')
        connection.exec_driver_sql(_postgresql_guard(table, verb))
