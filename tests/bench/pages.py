"""Measures every page of a book in process: statements, median and 95th percentile in milliseconds.

Run it on the demo:  python -m tests.bench.pages FOLDER [ROUNDS]  (rounds are interleaved: drift hits all alike).
"""

import gc
import sys
import time
from statistics import median, quantiles
from typing import Any

from flask import Flask
from sqlalchemy import event, select
from sqlalchemy.orm import Session

from shopbook.app import create_app
from shopbook.config import read_config
from shopbook.models.shop import Person, PersonRole
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.house.test_permissions import address, rules


def main(folder: str, rounds: int) -> None:
    app = create_app(read_config({"SHOPBOOK_DATA": folder}), TESTING=True)
    client = ShopClient(app).signed_in_as(owner_of(app))
    addresses = [address(rule).replace("999999", "1") for rule in rules(app) if "GET" in (rule.methods or ())]
    shown = [found for found in sorted(set(addresses)) if client.http.get(found).status_code == 200]
    taken: dict[str, list[float]] = {found: [] for found in shown}
    statements = {found: count_statements(app, client, found) for found in shown}
    # As it is served: see `serve_book`.
    gc.collect()
    gc.freeze()
    for _ in range(rounds):
        for found in shown:
            begun = time.perf_counter()
            client.http.get(found)
            taken[found].append((time.perf_counter() - begun) * 1000)
    print(f"{'page':50} {'statements':>10} {'median ms':>10} {'p95 ms':>8}")
    for found in shown:
        p95 = quantiles(taken[found], n=20)[-1]
        print(f"{found:50} {statements[found]:10} {median(taken[found]):10.1f} {p95:8.1f}")


def owner_of(app: Flask) -> str:
    with app.app_context(), Session(db.engine) as session:
        asked = select(Person.name).join(PersonRole).where(PersonRole.role == "owner", Person.is_active)
        return session.scalars(asked.order_by(Person.id)).first() or sys.exit("nobody in this book is an owner")


def count_statements(app: Flask, client: ShopClient, found: str) -> int:
    counted: list[str] = []
    with app.app_context():
        engine = db.engine

    def note(*given: Any) -> None:
        counted.append(given[2])

    event.listen(engine, "before_cursor_execute", note)
    client.http.get(found)
    event.remove(engine, "before_cursor_execute", note)
    return len([statement for statement in counted if statement.startswith(("SELECT", "WITH"))])


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]) if len(sys.argv) > 2 else 40)
