"""The page “For the accountant”: who may open it, which days, what it refuses, and that its files are whole."""

import csv
import io
from datetime import date
from zipfile import ZipFile

import pytest
from flask import Flask
from sqlalchemy import event
from sqlalchemy.orm import Session

from shopbook.documents.accountant.tables import FLAT_TABLES
from shopbook.models.session import transaction
from shopbook.services.act import Act
from shopbook.services.money.invoices import issue_invoice
from shopbook.trade import permissions
from shopbook.trade.permissions import THE_PROGRAM, Role
from shopbook.web.parts.act import db
from shopbook.web.reports import accountant
from tests.clients import ShopClient, refused_fields, sentences
from tests.conftest import NOON
from tests.makers.billing import make_agreed_job
from tests.makers.floor import make_entry, make_painter, make_work
from tests.makers.shelf import make_delivery, make_material

NOVEMBER = "first=2026-11-01&last=2026-11-30"


def fill(app: Flask, jobs: int) -> None:
    """So many jobs invoiced, each worked on for an hour, on a shelf with one can more."""
    with app.app_context(), Session(db.engine) as opened, transaction(opened):
        for place in range(jobs):
            job = make_agreed_job(opened, NOON)
            dana = make_painter(opened, f"=Dana {place}")
            make_entry(opened, dana, make_work(opened, job=job), "9:00", "10:00")
            issue_invoice(Act(opened, THE_PROGRAM, NOON), job.id)
            make_delivery(opened, make_material(opened, f"Clear {place}"), now=NOON)


def rows_of(answer_body: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(answer_body.decode("utf-8-sig"))))


def test_every_table_is_offered_singly_and_in_one_zip(app: Flask, client: ShopClient) -> None:
    fill(app, 1)
    page = client.text(f"/months/accountant?{NOVEMBER}")
    packed = ZipFile(io.BytesIO(client.get(f"/months/accountant/all.zip?{NOVEMBER}").data))
    assert packed.namelist() == [*(f"{table.code}.csv" for table in FLAT_TABLES), "columns.csv"]
    for table in FLAT_TABLES:
        assert f"/months/accountant/{table.code}.csv?" in page
        answer = client.get(f"/months/accountant/{table.code}.csv?{NOVEMBER}")
        assert answer.data == packed.read(f"{table.code}.csv")
        assert answer.headers["Content-Disposition"] == f'attachment; filename="{table.code}.csv"'
    invoice, *others = rows_of(packed.read("invoices.csv"))
    assert others == []
    assert (invoice["net"], invoice["tax"], invoice["gross"], invoice["issued_on"]) == (
        "803.00",
        "23.16",
        "826.16",
        "2026-11-05",
    )
    assert rows_of(packed.read("clock_shares.csv"))[0]["person"] == "'=Dana 0"


def test_a_span_without_anything_has_heads_and_no_rows(app: Flask, client: ShopClient) -> None:
    fill(app, 1)
    for code in ("invoices", "invoice_lines", "payments", "clock_shares", "movements", "hours", "attendance"):
        body = client.get(f"/months/accountant/{code}.csv?first=2026-10-01&last=2026-10-31").data
        assert (code, rows_of(body)) == (code, [])
        assert body.startswith(b"\xef\xbb\xbf")


def test_without_days_it_shows_the_month_before(client: ShopClient) -> None:
    page = client.text("/months/accountant")
    assert 'value="2026-10-01"' in page
    assert 'value="2026-10-31"' in page
    assert 'value="2026-02-28"' in client.text("/months/accountant?month=2026-02")
    assert client.get("/months/accountant?month=soon").status_code == 422


@pytest.mark.parametrize(
    ("days", "field", "said"),
    [
        ("first=2026-11-30&last=2026-11-01", "last", "The last day is before the first. Enter a later day."),
        ("first=soon&last=2026-11-01", "first", "Enter a day, for example"),
        ("first=&last=2026-11-01", "first", "Enter the first day"),
        ("first=2026-11-01", "last", "Enter the last day"),
    ],
)
def test_days_that_are_none_are_refused_beside_their_field(
    client: ShopClient, days: str, field: str, said: str
) -> None:
    answer = client.get(f"/months/accountant?{days}")
    assert answer.status_code == 422
    assert refused_fields(answer.text) == [field]
    assert any(said in sentence for sentence in sentences(answer.text))
    assert "all.zip" not in answer.text
    assert client.get(f"/months/accountant/all.zip?{days}").status_code == 422


def test_a_table_that_there_is_not_is_not_found(client: ShopClient) -> None:
    assert client.get(f"/months/accountant/secrets.csv?{NOVEMBER}").status_code == 404


def test_only_whoever_may_see_the_month_may_open_it(app: Flask) -> None:
    for name in ("Desk", "Dana"):
        answer = ShopClient(app).signed_in_as(name).get(f"/months/accountant/all.zip?{NOVEMBER}")
        assert answer.status_code == 403
    assert "For the accountant" not in ShopClient(app).signed_in_as("Desk").text("/money/")
    assert 'href="/months/accountant"' in ShopClient(app).signed_in_as("Noor").text("/money/")


def test_pay_is_left_out_for_whoever_may_not_see_it(app: Flask, monkeypatch: pytest.MonkeyPatch) -> None:
    """A desk that may see the month, but no wages."""
    fill(app, 1)
    seen = {("reports", "month"): frozenset({Role.DESK, Role.OWNER})}
    monkeypatch.setattr(permissions, "PERMISSIONS", permissions.PERMISSIONS | seen)
    desk = ShopClient(app).signed_in_as("Desk")
    packed = ZipFile(io.BytesIO(desk.get(f"/months/accountant/all.zip?{NOVEMBER}").data))
    assert not {"paid_hours.csv", "person_costs.csv"} & set(packed.namelist())
    assert "cost" not in rows_of(packed.read("clock_shares.csv"))[0]
    assert rows_of(packed.read("clock_shares.csv"))[0]["minutes"] == "60"
    assert b"cost_per_hour" not in packed.read("columns.csv")
    assert desk.get(f"/months/accountant/paid_hours.csv?{NOVEMBER}").status_code == 404
    assert "What people are paid is left out" in desk.text(f"/months/accountant?{NOVEMBER}")


def test_statements_do_not_grow_with_the_rows(app: Flask, client: ShopClient) -> None:
    fill(app, 1)
    few = statements(app, client)
    fill_more(app)
    assert statements(app, client) == few


def fill_more(app: Flask) -> None:
    with app.app_context(), Session(db.engine) as opened, transaction(opened):
        for place in range(4):
            job = make_agreed_job(opened, NOON)
            make_entry(opened, make_painter(opened, f"Sam {place}"), make_work(opened, job=job), "9:00", "10:00")
            issue_invoice(Act(opened, THE_PROGRAM, NOON), job.id)


def statements(app: Flask, client: ShopClient) -> int:
    asked: list[str] = []
    with app.app_context():
        engine = db.engine

    def count(connection: object, cursor: object, statement: str, *rest: object) -> None:
        asked.append(statement)

    event.listen(engine, "before_cursor_execute", count)
    try:
        assert client.get(f"/months/accountant/all.zip?{NOVEMBER}").status_code == 200
    finally:
        event.remove(engine, "before_cursor_execute", count)
    return len(asked)


def test_usual_days_are_offered(app: Flask) -> None:
    """On November 5 the last quarter ended with September, and the book began on January 2."""
    with app.test_request_context():
        app.preprocess_request()
        offered = {words: url for words, url, _ in accountant._offered_spans()}
    assert offered == {
        "Last month": "/months/accountant?first=2026-10-01&last=2026-10-31",
        "Last quarter": "/months/accountant?first=2026-07-01&last=2026-09-30",
        "This year so far": f"/months/accountant?first=2026-01-01&last={date(2026, 11, 5)}",
        "Everything so far": f"/months/accountant?first=2026-01-02&last={date(2026, 11, 5)}",
    }
