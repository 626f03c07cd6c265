"""What becomes of each value of a stretch when it is written again some weeks later."""

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import Column, Engine, func, select

from shopbook.models import Base
from shopbook.models.shop import NumberCounter
from tests.bench.shop import LENGTH, mark_of, phone_of

_UNNAMED = {("clock_entry", "reverses_id"): "clock_entry"}
"""References that no foreign key names."""
_SERIES = {"job": "job", "invoice": "invoice", "payment": "receipt", "supply_order": "order"}
"""Which counter the column `number` of a table is drawn from."""
_IN_JSON = {"customer_id": "customer", "job_part_id": "job_part", "id": "stage", "after": "stage"}
"""Which table a number in a kept text points into."""
_SAID = re.compile(
    r'"key": "(?P<item>\d+)"'
    r'|"(?P<name>customer_id|job_part_id|id|after)": (?P<keys>\[[\d, ]*\]|\d+)'
    r'|\b(?P<series>[Jj]ob|[Ii]nvoice|[Rr]eceipt|[Oo]rder)(?P<gap> |": |", ")(?P<number>\d+)'
    r"|\b(?P<day>20\d\d-\d\d-\d\d)"
    r"|(?P<words>(?:Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec)[a-z]* \d{1,2}, 20\d\d)"
)
"""What of a kept text belongs to its weeks: keys, numbers of papers, and days in figures or in words."""


@dataclass(frozen=True, slots=True)
class Marks:
    """How far a book had come: the highest id of each table, and the last number of each counter."""

    ids: dict[str, int]
    numbers: dict[str, int]

    @classmethod
    def read(cls, engine: Engine) -> "Marks":
        """As the book stands now."""
        with engine.connect() as reading:
            tables = [table for table in Base.metadata.sorted_tables if "id" in table.columns]
            ids = {table.name: reading.execute(select(func.max(table.c.id))).scalar() or 0 for table in tables}
            counters = reading.execute(select(NumberCounter.series, NumberCounter.last_number))
            return cls(ids, {series: last for series, last in counters})


def target_of(column: Column[Any]) -> str | None:
    """The table that a column's numbers are ids of, its own for its id; None for what is no reference."""
    for key in column.foreign_keys:
        return key.column.table.name
    return column.table.name if column.name == "id" else _UNNAMED.get((column.table.name, column.name))


class Shift:
    """The stretch between two marks, so many times its length later."""

    def __init__(self, before: Marks, after: Marks, again: int) -> None:
        self._before, self._after = before, after
        self._again, self._later = again, again * LENGTH
        self._names = [(phone_of(0), phone_of(again))]
        for spelt in (str.lower, str.upper, str.capitalize):
            self._names.append((spelt(mark_of(0)), spelt(mark_of(again))))

    def values(self, column: Column[Any], kept: Mapping[str, Sequence[Any]]) -> Sequence[Any]:
        """A column of the stretch's rows; `kept` holds all columns of its table by name."""
        values, whose = kept[column.name], (column.table.name, column.name)
        if target := target_of(column):
            return [self._key(target, value) for value in values]
        if whose == ("log_line", "subject_id"):
            return [self._key(subject, value) for subject, value in zip(kept["subject"], values, strict=True)]
        if whose == ("search_key", "key"):
            return [self._search_key(kind, value) for kind, value in zip(kept["kind"], values, strict=True)]
        if column.name == "number" and whose[0] in _SERIES:
            by = self._numbers_given(_SERIES[whose[0]])
            return [None if value is None else value + by for value in values]
        return self._plain(values)

    def last_numbers(self) -> Iterator[tuple[str, int]]:
        """Where each counter stands when this is written."""
        for series, last in self._after.numbers.items():
            yield series, last + self._numbers_given(series)

    def _plain(self, values: Sequence[Any]) -> Sequence[Any]:
        sample = next((value for value in values if value is not None), None)
        return [self._moved(value) for value in values] if isinstance(sample, date | str | dict | list) else values

    def _moved(self, value: Any) -> Any:
        """A day or a moment, a text, or values kept as JSON; None stays."""
        if isinstance(value, date):
            return value + self._later
        if isinstance(value, str):
            return self._text(value)
        return value if value is None else json.loads(self._text(json.dumps(value, ensure_ascii=False)))

    def _numbers_given(self, series: str) -> int:
        return self._again * (self._after.numbers.get(series, 0) - self._before.numbers.get(series, 0))

    def _key(self, table: str, value: int | None) -> int | None:
        """What was there before the stretch stays; what came with it moves on by all that came."""
        if value is None or value <= (top := self._before.ids.get(table, value)):
            return value
        return value + self._again * (self._after.ids[table] - top)

    def _search_key(self, kind: str, key: str) -> str:
        if kind == "job":
            return str(int(key) + self._numbers_given("job"))
        if kind == "phone" and len(key) in {7, 10}:
            return f"{key[:-7]}{self._again:03}{key[-4:]}"
        return self._text(key)

    def _text(self, text: str) -> str:
        for before, after in self._names:
            text = text.replace(before, after)
        return _SAID.sub(self._say, text)

    def _say(self, found: re.Match[str]) -> str:
        if found["item"]:
            return f'"key": "{self._key("quote_group", int(found["item"]))}"'
        if found["name"]:
            table = _IN_JSON[found["name"]]
            keys = re.sub(r"\d+", lambda key: str(self._key(table, int(key[0]))), found["keys"])
            return f'"{found["name"]}": {keys}'
        if found["series"]:
            number = int(found["number"]) + self._numbers_given(found["series"].lower())
            return f"{found['series']}{found['gap']}{number}"
        if found["day"]:
            return (date.fromisoformat(found["day"]) + self._later).isoformat()
        month = "%b" if found["words"][3] == " " else "%B"
        day = datetime.strptime(found["words"], f"{month} %d, %Y") + self._later  # noqa: DTZ007 - a day, no moment
        return f"{day:{month} {day.day}, %Y}"
