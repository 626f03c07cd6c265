"""Database triggers that keep ledgers append-only; made anew by one function after every migration."""

from sqlalchemy import Connection, inspect

LEDGERS = (
    "approval",
    "approval_group",
    "allocation",
    "approval_reading",
    "approval_withdrawal",
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


def _guard_sqlite(connection: Connection, table: str) -> None:
    for verb in ("update", "delete"):
        connection.exec_driver_sql(f"DROP TRIGGER IF EXISTS guard_{table}_{verb}")
        connection.exec_driver_sql(
            f'CREATE TRIGGER guard_{table}_{verb} BEFORE {verb.upper()} ON "{table}" '
            f"BEGIN SELECT RAISE(ABORT, '{table} is append-only'); END"
        )


def _guard_postgresql(connection: Connection, table: str) -> None:
    connection.exec_driver_sql(
        "CREATE OR REPLACE FUNCTION shopbook_append_only() RETURNS trigger LANGUAGE plpgsql AS "
        "$$ BEGIN RAISE EXCEPTION USING MESSAGE = TG_TABLE_NAME || ' is append-only'; END $$"
    )
    for verb in ("update", "delete"):
        connection.exec_driver_sql(f'DROP TRIGGER IF EXISTS guard_{table}_{verb} ON "{table}"')
        connection.exec_driver_sql(
            f'CREATE TRIGGER guard_{table}_{verb} BEFORE {verb.upper()} ON "{table}" '
            "FOR EACH ROW EXECUTE FUNCTION shopbook_append_only()"
        )
