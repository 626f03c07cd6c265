"""Which tables are sealed, and by which columns: numbered forms, each frozen once a book was sealed by it.

A link keeps the number of the form that it was made by and is proved by that one for ever. A new sealed table is one
line of the newest form while no release has it, else of a new `form_N.toml`, which names the migration that it holds
from; so is a new column, which must be nullable (or older rows would read differently). `tests/house/test_seal.py`
compares the newest form with the models, and each older one with the tables as they were at its migration.
"""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

FORMS = (1,)
"""All that there are, the present one last."""


@dataclass(frozen=True, slots=True)
class SealForm:
    """The columns that are sealed, by table, each with its kind.

    Kinds: n a whole number, b yes or no, d a day, m a moment, t a text (JSON too, as it is stored).
    """

    number: int
    since: str
    """The migration from which on the tables are so."""
    tables: Mapping[str, Mapping[str, str]]


@cache
def get_form(number: int) -> SealForm:
    """One form; FileNotFoundError for a number that there is not."""
    read = tomllib.loads(Path(__file__).with_name(f"form_{number}.toml").read_text(encoding="utf-8"))
    tables = {
        table: dict(column.rsplit(":", 1) for column in columns.split()) for table, columns in read["tables"].items()
    }
    return SealForm(number, read["since"], tables)


def present_form() -> SealForm:
    """The form that rows are sealed by now."""
    return get_form(FORMS[-1])
