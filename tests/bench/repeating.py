"""The rows of one stretch written again for later weeks: ids, days, numbers and names shifted, in bulk."""

from collections.abc import Sequence
from typing import Any

from sqlalchemy import Column, Connection, Engine, Table, insert, select, update

from shopbook.models import Base
from shopbook.models.copying import set_counters, writing
from shopbook.models.shop import NumberCounter
from tests.bench.shifting import Marks, Shift, target_of

_BATCH = 5_000


class Stretch:
    """All rows that were written between two marks, ready to be written again."""

    def __init__(self, engine: Engine, before: Marks, after: Marks) -> None:
        self._before, self._after = before, after
        with engine.connect() as reading:
            # The seal of each repetition is its own: it is written at the commit, as that of any write.
            tables = [table for table in Base.metadata.sorted_tables if table.name != "seal"]
            read = [(table, self._read(reading, table)) for table in tables]
        self._rows = [(table, rows) for table, rows in read if rows]

    def repeat(self, engine: Engine, times: int) -> None:
        """Write it so many times more, each in one transaction, and let the counters stand behind the last."""
        for again in range(1, times + 1):
            shift = Shift(self._before, self._after, again)
            with writing(engine) as there:
                for table, rows in self._rows:
                    _write(there, table, rows, shift)
                for series, last in shift.last_numbers():
                    counter = update(NumberCounter).where(NumberCounter.series == series)
                    there.execute(counter.values(last_number=last))
        with writing(engine) as there:
            set_counters(there, dict(Base.metadata.tables))

    def _read(self, reading: Connection, table: Table) -> list[Sequence[Any]]:
        """Rows without an id of their own are known by the newest of the rows that they point at."""
        key = _key_of(table)
        mark = self._before.ids.get(target_of(key) or "") if key is not None else None
        if key is None or mark is None:
            return []
        newer = key > mark
        return [tuple(row) for row in reading.execute(select(table).where(newer).order_by(key))]


def _key_of(table: Table) -> Column[Any] | None:
    if "id" in table.columns:
        return table.c.id
    return next((column for column in table.primary_key.columns if column.foreign_keys), None)


def _write(there: Connection, table: Table, rows: Sequence[Sequence[Any]], shift: Shift) -> None:
    names = [column.name for column in table.columns]
    kept = dict(zip(names, zip(*rows, strict=True), strict=True))
    shifted = [shift.values(column, kept) for column in table.columns]
    lines = [dict(zip(names, row, strict=True)) for row in zip(*shifted, strict=True)]
    for begin in range(0, len(lines), _BATCH):
        there.execute(insert(table), lines[begin : begin + _BATCH])
