"""Measures every page of a book in process: statements, median and 95th percentile in milliseconds.

    python -m tests.bench.pages FOLDER [FOLDER …] [--rounds N]

Of several books, such as that of one year and that of ten, each page is asked in turn (a drift of the machine hits all
alike), and the last column says how much dearer it is in the last book than in the first. A book that lies in
PostgreSQL is named FOLDER=URL. The clock of each book stands at its newest log line.
"""

import gc
import sys
import time
from dataclasses import dataclass, field
from datetime import datetime
from statistics import median, quantiles
from typing import Any

import click
from flask import Flask
from sqlalchemy import event, func, select
from sqlalchemy.orm import Session

from shopbook.app import create_app
from shopbook.config import read_config
from shopbook.models.shop import LogLine, Person, PersonRole
from shopbook.web.parts.act import db
from tests.bench.addresses import addresses
from tests.clients import ShopClient


@dataclass
class Book:
    """A book that is asked for its pages, and what each took: statements once, milliseconds in every round."""

    client: ShopClient
    addresses: dict[str, str]
    statements: dict[str, int] = field(default_factory=dict)
    taken: dict[str, list[float]] = field(default_factory=dict)

    def ask(self, page: str) -> float:
        """Milliseconds of one showing."""
        begun = time.perf_counter()
        self.client.http.get(self.addresses[page])
        return (time.perf_counter() - begun) * 1000

    def shows(self, page: str) -> bool:
        """Whether the page is shown at all; counts its statements meanwhile."""
        if page not in self.addresses:
            return False
        self.statements[page] = count_statements(self.client.app, self.client, self.addresses[page])
        return self.client.http.get(self.addresses[page]).status_code == 200


def open_book(place: str) -> Book:
    """The book in a folder, its owner signed in."""
    folder, _, url = place.partition("=")
    config = read_config({"SHOPBOOK_DATA": folder} | ({"SHOPBOOK_DATABASE_URL": url} if url else {}))
    stands: list[datetime] = []
    app = create_app(config, TESTING=True, CLOCK=lambda: stands[0])
    with app.app_context(), Session(db.engine) as session:
        stands.append(session.scalar(select(func.max(LogLine.at))) or sys.exit(f"the book in {folder} is empty"))
        asked = select(Person.name).join(PersonRole).where(PersonRole.role == "owner", Person.is_active)
        owner = session.scalars(asked.order_by(Person.id)).first() or sys.exit("nobody in this book is an owner")
        found = addresses(app, session)
    return Book(ShopClient(app).signed_in_as(owner), found)


def count_statements(app: Flask, client: ShopClient, found: str) -> int:
    """How many times a page asks the book."""
    counted: list[str] = []
    with app.app_context():
        engine = db.engine

    def note(*given: Any) -> None:
        counted.append(given[2])

    event.listen(engine, "before_cursor_execute", note)
    client.http.get(found)
    event.remove(engine, "before_cursor_execute", note)
    return len([statement for statement in counted if statement.startswith(("SELECT", "WITH"))])


def print_table(books: list[Book], pages: list[str]) -> None:
    """A line a page: of each book statements, median and 95th percentile; then the last median by the first."""
    print(f"{'page':52}" + f"{'statements':>11} {'median ms':>10} {'p95 ms':>8}" * len(books) + f"{'ratio':>8}")
    for page in pages:
        line, medians = f"{page:52}", [median(book.taken[page]) for book in books]
        for book, middle in zip(books, medians, strict=True):
            slow = quantiles(book.taken[page], n=20)[-1]
            line += f"{book.statements[page]:11} {middle:10.1f} {slow:8.1f}"
        print(f"{line}{medians[-1] / medians[0]:8.2f}")


@click.command()
@click.argument("places", nargs=-1, required=True)
@click.option("--rounds", default=15, show_default=True, type=click.IntRange(2))
def main(places: tuple[str, ...], rounds: int) -> None:
    """Measure every page of the books in PLACES, folders with a book in each."""
    books = [open_book(place) for place in places]
    pages = [page for page in books[0].addresses if all([book.shows(page) for book in books])]
    # As it is served: see `serve_book`.
    gc.collect()
    gc.freeze()
    for _ in range(rounds):
        for page in pages:
            for book in books:
                book.taken.setdefault(page, []).append(book.ask(page))
    print_table(books, pages)


if __name__ == "__main__":
    main()
