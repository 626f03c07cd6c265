"""The keys: refused while something is to pay, let go with a reason; who took the car is kept and can be erased."""

from flask import Flask
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.session import make_engine, transaction
from shopbook.models.shop import LogLine, Setting
from tests.clients import ShopClient
from tests.conftest import NOON


def issue(client: ShopClient, number: int) -> str:
    return client.press_on(f"/money/jobs/{number}/invoice", supply_on="2026-11-04", last_number="2317", tax_number="")


def test_the_keys_are_refused_and_let_go_with_a_reason(client: ShopClient, job_number: int) -> None:
    issue(client, job_number)
    page = client.press_on(f"/money/jobs/{job_number}/hand-over")
    assert "Still to pay:" in page
    assert client.press(f"/money/jobs/{job_number}/let-go", why="").status_code == 422
    assert client.press(f"/money/jobs/{job_number}/let-go", why="late", taken_by="x" * 201).status_code == 422
    client.press_on(f"/money/jobs/{job_number}/let-go", why="pays on Monday", taken_by="her brother, R. Abara")
    page = client.text(f"/jobs/{job_number}")
    assert page.count("R. Abara") == 1, "on the job, and not in its log"
    assert "Released unpaid with" in page


def test_who_took_the_car_is_kept_with_the_keys_and_erased_with_the_owner(
    app: Flask, client: ShopClient, job_number: int
) -> None:
    issue(client, job_number)
    client.press_on(f"/money/jobs/{job_number}/pay", payer="1", amount="826.16", means="card", invoice_id="")
    assert "at most 200" in client.press_on(f"/money/jobs/{job_number}/hand-over", taken_by="x" * 201)
    client.press_on(f"/money/jobs/{job_number}/hand-over", taken_by=" R. Abara ")
    assert client.text(f"/jobs/{job_number}").count("handed to R. Abara<") == 1
    engine = make_engine(app.config["SQLALCHEMY_DATABASE_URI"])
    with Session(engine) as session:
        assert not [line.words for line in session.scalars(select(LogLine)) if "Abara" in line.words]
    engine.dispose()
    client.press_on("/customers/1/erase")
    assert "Abara" not in client.text(f"/jobs/{job_number}")


def test_what_coins_can_pay_is_said_where_the_small_ones_are_gone(
    app: Flask, client: ShopClient, job_number: int
) -> None:
    """826.16 is 826.15 in coins of five."""
    issue(client, job_number)
    assert "in cash" not in client.text(f"/money/jobs/{job_number}/pay")
    engine = make_engine(app.config["SQLALCHEMY_DATABASE_URI"])
    with Session(engine) as session, transaction(session):
        step = Setting(name="cash_rounding_minor", value=5, from_on=NOON.date(), at=NOON)
        session.add(step)
    engine.dispose()
    assert "in cash, take $826.15" in client.text(f"/money/jobs/{job_number}/pay")
