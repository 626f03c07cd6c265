"""Who still owes how much of a job, in words: each sum with the name of who pays it, where more than one pays."""

from collections.abc import Iterable
from datetime import date

from flask import Flask

from shopbook.queries.money.owed import JobStands
from shopbook.web.parts.frame import money


def install(app: Flask) -> None:
    """Give every template the words of who owes what."""
    app.jinja_env.globals["owing_text"] = owing_text


def owing_text(stands: JobStands, by: date | None = None) -> str:
    """ "$826.16", or "Thea Marsh $500.00, Meadow Insurance $1,314.95"; with `by` only what is due by that day."""
    rows = [row for row in stands.owing if by is None or row.due_on <= by]
    if stands.is_shared:
        return named_sums((row.name, row.owed_minor) for row in rows)
    return money(sum(row.owed_minor for row in rows))


def named_sums(rows: Iterable[tuple[str, int]]) -> str:
    """ "Thea Marsh $500.00, Meadow Insurance $1,314.95"."""
    return ", ".join(f"{name} {money(minor)}" for name, minor in rows)
