"""The mixing log as a table: one row for each component of each mix, in cells that no spreadsheet runs."""

import csv
import io
from collections.abc import Iterable
from dataclasses import dataclass

from shopbook.documents.month_end import safe_cell

HEADS = (
    *("day", "mix", "job", "coating category", "product", "maker", "product number"),
    *("quantity, ml", "VOC as supplied, g/L", "VOC as applied, g/L", "VOC less water and exempt, g/L"),
    "still missing",
)


@dataclass(frozen=True, slots=True)
class AirRow:
    """One component of one mix, all as text; "" where nothing was typed."""

    day: str
    mix: str
    jobs: str
    category: str
    product: str
    maker: str
    number: str
    quantity: str
    supplied: str
    applied: str
    less_water: str
    missing: str


def make_air_csv(rows: Iterable[AirRow], note: str) -> str:
    """The log with its heads, and under it the sentence that the data sheet and the rule come first.

    The fields are those of a state's rule on records of refinishers, 326 IAC 8-10-9.
    """
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(HEADS)
    for row in rows:
        cells = (
            *(row.day, row.mix, row.jobs, row.category, row.product, row.maker, row.number),
            *(row.quantity, row.supplied, row.applied, row.less_water, row.missing),
        )
        writer.writerow([safe_cell(cell) for cell in cells])
    writer.writerow([])
    writer.writerow([safe_cell(note)])
    return out.getvalue()
