"""How long Today, the week and a suggestion take in process; measured by hand with `pytest tests/bench -s`."""

from collections.abc import Callable
from statistics import median, quantiles
from time import perf_counter, process_time

from flask import Flask
from sqlalchemy.orm import Session

from shopbook.models.session import transaction
from shopbook.web.parts.act import db
from tests.bench.pages import count_statements
from tests.clients import ShopClient
from tests.makers.diary import make_morning

PAGES = ("/today", "/diary/", "/jobs/1", "/jobs/kerb?panel=bonnet")


def took(act: Callable[[], object], clock: Callable[[], float], rounds: int = 30) -> list[float]:
    found = []
    for _ in range(rounds):
        began = clock()
        act()
        found.append((clock() - began) * 1000)
    return found


def test_todays_pages_are_drawn_in_half_a_second_on_a_full_day(app: Flask) -> None:
    with app.app_context(), Session(db.engine) as opened, transaction(opened):
        make_morning(opened, "Ruth", rounds=3)
    client = ShopClient(app).signed_in_as("Noor")
    busy = {}
    for path in PAGES:
        times = took(lambda path=path: client.text(path), perf_counter)  # type: ignore[misc]
        busy[path] = median(took(lambda path=path: client.text(path), process_time))  # type: ignore[misc]
        words = f"median {median(times):.1f} ms, p95 {quantiles(times, n=20)[-1]:.1f} ms, computing {busy[path]:.1f} ms"
        print(f"\n{path}: {count_statements(app, client, path)} statements, {words}")
    assert max(busy.values()) < 500
