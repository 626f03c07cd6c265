"""Every page of the demo as every role sees it, and how many questions each asks of the book."""

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Any

import pytest
from flask import Flask
from sqlalchemy import event, text
from sqlalchemy.orm import Session

import seed_demo
from shopbook.app import create_app
from shopbook.config import Config
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.journeys.demos import NOW, Built

PEOPLE = ("Noor", "Marit", "Dana")
MOST_STATEMENTS = {"reports.today": 52, "jobs.show": 40, "jobs.kerb": 12, "reports.month": 95}
"""Pages that gather from every area, and the quick estimate; any other asks sixty times at most."""
SIGN_IN_LOOKS = 3
"""Who is signed in, with roles and skills: asked before any page, and no page's own."""
AIR = frozenset({"reports.air", "reports.air_csv", "reports.paper", "reports.new_paper"})
"""Shown only to a shop that switched the air and waste record on."""
A_STRETCH = "?begins=2026-11-24T18:00:00%2B00:00&ends=2026-11-24T18:30:00%2B00:00"
"""What the page that places a hole of a day is asked for with."""
A_DEVICE = frozenset({"shop.pin"})
OLD_BOOKS = frozenset({"money.match"})
"""Shown only where an invoice is older than the keys of lines."""
NOT_THERE = frozenset({"customers.certificate"})
"""A photo that nobody of the demo has: seen in tests/web/money/test_exempt.py."""
LEADS_ON = frozenset(
    {
        "shop.first_taxes",
        "shop.front",
        "shop.who",
        "reports.air_now",
        "reports.months",
        "jobs.by_id",
        "money.edit_quote",
    }
)


@pytest.fixture
def session(demo: Built) -> Iterator[Session]:
    with Session(demo[1]) as opened:
        yield opened


def app_of(config: Config) -> Iterator[Flask]:
    made = create_app(config, TESTING=True, CLOCK=lambda: NOW)
    yield made
    with made.app_context():
        db.engine.dispose()


@pytest.fixture(scope="module")
def app(demo: Built) -> Iterator[Flask]:
    yield from app_of(demo[0])


@pytest.fixture(scope="module")
def half_app(half_demo: Built) -> Iterator[Flask]:
    yield from app_of(half_demo[0])


def one(session: Session, sql: str) -> Any:
    return session.execute(text(sql)).first()


def usual_ids(session: Session) -> dict[str, Any]:
    """Something that is there for each gap of an address."""
    at_work = one(session, "SELECT j.number, s.id, j.id FROM running_share r JOIN stage s ON s.id = r.stage_id"
                           " JOIN job j ON j.id = s.job_id ORDER BY r.stage_id")  # fmt: skip
    tables = {"customer_id": "customer", "vehicle_id": "vehicle", "person_id": "person", "place_id": "place"}
    tables |= {"material_id": "material", "delivery_id": "delivery", "order_id": "supply_order", "paper_id": "paper"}
    tables |= {"supplier_id": "supplier", "payment_id": "payment", "entry_id": "clock_entry", "picture_id": "picture"}
    tables |= {"approval_id": "approval", "cost_id": "fixed_cost"}
    found = {gap: one(session, f"SELECT max(id) FROM {table}")[0] for gap, table in tables.items()}
    return found | {"number": at_work[0], "stage_id": at_work[1], "job_id": at_work[2], "name": "2026-10"}


def own_ids(session: Session) -> dict[str, dict[str, Any]]:
    """What an address needs besides, by endpoint: things that belong together, or stand as the page wants them."""
    damage = one(session, "SELECT j.number, d.id FROM damage d JOIN job j ON j.id = d.job_id ORDER BY d.id DESC")
    part = one(session, "SELECT j.number, p.id FROM job_part p JOIN job j ON j.id = p.job_id ORDER BY p.id DESC")
    owed = one(session, "SELECT p.invoice_id, p.customer_id FROM invoice_payer p LEFT JOIN allocation a"
                        " ON a.invoice_id = p.invoice_id WHERE a.id IS NULL AND p.share_minor > 0"
                        " ORDER BY p.id DESC")  # fmt: skip
    line = one(session, "SELECT order_id, id FROM order_line ORDER BY id DESC")
    closed = one(session, "SELECT month, version FROM month_close ORDER BY id DESC")
    mix = one(session, "SELECT u.stage_id, u.mix, j.number FROM stage_use u JOIN stage s ON s.id = u.stage_id"
                       " JOIN job j ON j.id = s.job_id WHERE u.mix = 'clear_medium'"
                       " AND coalesce(s.finished_at, s.struck_at) IS NULL"
                       " ORDER BY u.id DESC")  # fmt: skip
    return {
        "jobs.damage": {"number": damage[0], "damage_id": damage[1]},
        "jobs.part": {"number": part[0], "part_id": part[1]},
        "money.request_pdf": {"invoice_id": owed[0], "payer_id": owed[1]},
        "money.write_off": {"invoice_id": owed[0], "payer_id": owed[1]},
        "money.move_rest": {"invoice_id": owed[0], "payer_id": owed[1]},
        "jobs.mix": {"number": mix[2], "stage_id": mix[0], "code": mix[1]},
        "floor.cup": {"stage_id": mix[0], "code": mix[1]},
        "floor.colour_card": {"card_id": one(session, "SELECT max(id) FROM colour_card")[0]},
        "floor.trouble_found": {"kind": "run", "coat": "clear"},
        "reports.closing_pdf": {"name": closed[0], "version": closed[1]},
        "reports.closing": {"name": closed[0], "version": closed[1]},
        "reports.accountant_csv": {"name": "invoices"},
        "money.reverse_refund": {"payment_id": one(session, "SELECT max(id) FROM payment WHERE kind = 'refund'")[0]},
        "shop.setting": {"section": "hours"},
        "shop.standard_kind": {"kind": "stage"},
        "shop.standard": {"kind": "stage", "code": "mask"},
        "shop.price": {"code": "bonnet"},
        "shop.tax": {"code": "sales"},
        "shelf.order_line": {"order_id": line[0], "line_id": line[1]},
        "shelf.price": {"line_id": one(session, "SELECT max(id) FROM delivery_line")[0]},
    }


def addresses(app: Flask, session: Session) -> dict[str, str]:
    """Every page of the program on this book, its address by its rule."""
    usual, own = usual_ids(session), own_ids(session)
    usual |= {"invoice_id": one(session, "SELECT max(id) FROM invoice WHERE kind = 'invoice'")[0]}
    usual |= {"quote_id": one(session, "SELECT max(id) FROM quote")[0], "payer_id": 0, "version": 1}
    found = {}
    for rule in app.url_map.iter_rules():
        if "GET" in (rule.methods or set()) and rule.endpoint != "static":
            given = usual | own.get(rule.endpoint, {})
            found[f"{rule.endpoint} {rule.rule}"] = re.sub(
                r"<(?:[^:>]+:)?(\w+)>", lambda gap, given=given: str(given[gap[1]]), rule.rule
            ) + (A_STRETCH if rule.endpoint == "floor.place_else" else "")
    return found


def answers(app: Flask, session: Session, who: str) -> dict[str, int]:
    client = ShopClient(app).signed_in_as(who)
    return {rule: client.http.get(url).status_code for rule, url in addresses(app, session).items()}


@pytest.mark.parametrize("who", PEOPLE)
def test_every_page_that_a_role_may_see_is_shown(app: Flask, session: Session, who: str) -> None:
    found = answers(app, session, who)
    shown = [rule for rule, status in found.items() if status == 200]
    assert len(shown) > (75 if who != "Dana" else 20)
    strange = {
        rule: status
        for rule, status in found.items()
        if status not in {200, 403}
        and not (status in {302, 303} and rule.split()[0] in LEADS_ON)
        and not (status == 404 and rule.split()[0] in AIR | A_DEVICE | OLD_BOOKS | NOT_THERE)
    }
    assert strange == {}


def asked_by(app: Flask, url: str, who: str = "Noor") -> Counter[tuple[str, str]]:
    """The questions of a page that is shown to a person, each with what it was asked with; sign-in's among them."""
    client, asked = ShopClient(app).signed_in_as(who), Counter[tuple[str, str]]()
    with app.app_context():
        engine = db.engine

    def note(*given: Any) -> None:
        if str(given[2]).split(" ", 1)[0] in {"SELECT", "WITH"}:
            asked[str(given[2]), repr(given[3])] += 1

    event.listen(engine, "before_cursor_execute", note)
    status = client.http.get(url).status_code
    event.remove(engine, "before_cursor_execute", note)
    assert status < 400, url
    return asked


def count_statements(app: Flask, url: str, who: str = "Noor") -> int:
    """How many questions a page asks besides who is signed in."""
    return asked_by(app, url, who).total() - SIGN_IN_LOOKS


def test_no_job_of_the_demo_asks_more_than_forty_questions_and_none_twice(app: Flask, session: Session) -> None:
    numbers = list(session.execute(text("SELECT number FROM job ORDER BY number")).scalars())
    assert len(numbers) > 60
    asked = {number: asked_by(app, f"/jobs/{number}") for number in numbers}
    many = {number: each.total() - SIGN_IN_LOOKS for number, each in asked.items()}
    assert {number: count for number, count in many.items() if count > MOST_STATEMENTS["jobs.show"]} == {}
    assert [number for number, each in asked.items() if max(each.values()) > 1] == []


@pytest.mark.parametrize(
    "url",
    [
        "/jobs/kerb",
        "/jobs/kerb?panel=bonnet&panel=left_front_wing",
        "/money/quotes/{quote_id}",
        "/money/quotes/{quote_id}/approval",
        "/money/quotes/{extra_id}",
        "/money/quotes/{extra_id}/payer-approval",
        "/money/invoices/{invoice_id}",
        "/jobs/{number}/plan",
    ],
)
def test_an_estimate_a_quote_and_a_bill_ask_nothing_twice(app: Flask, session: Session, url: str) -> None:
    told = one(session, "SELECT max(id), max(CASE WHEN kind = 'extra' THEN id END) FROM quote")
    ids = usual_ids(session) | {"quote_id": told[0], "extra_id": told[1]}
    ids |= {"invoice_id": one(session, "SELECT max(id) FROM invoice WHERE kind = 'invoice'")[0]}
    asked = asked_by(app, url.format_map(ids))
    assert [question for question, times in asked.items() if times > 1] == []


def test_no_page_asks_more_questions_than_it_may(app: Flask, session: Session) -> None:
    shown = [rule for rule, status in answers(app, session, "Noor").items() if status == 200]
    urls: Mapping[str, str] = addresses(app, session)
    many = [rule for rule in shown if count_statements(app, urls[rule]) > MOST_STATEMENTS.get(rule.split()[0], 60)]
    assert many == []
    assert count_statements(app, "/jobs/kerb?panel=bonnet&panel=left_front_wing") <= MOST_STATEMENTS["jobs.kerb"]


@pytest.mark.parametrize("url", ["/today", "/jobs/", "/floor/", "/shelf/"])
def test_twice_the_jobs_ask_no_more_questions(app: Flask, half_app: Flask, url: str) -> None:
    # Forty more jobs may not show. What is there of each kind does: only the whole story has an open job that is
    # invoiced, and an invoice is read with its lines, its taxes, its payers and what is paid of it.
    assert count_statements(app, url) <= count_statements(half_app, url) + 4


def test_every_page_says_that_this_is_a_demo(app: Flask) -> None:
    client = ShopClient(app).signed_in_as("Noor")
    assert all("Everything here is invented" in client.text(url) for url in ("/today", "/jobs/"))


@pytest.mark.parametrize("one_of", seed_demo.SHOPS["us"].people, ids=lambda person: person.name)
def test_the_printed_sign_ins_open_the_shop(app: Flask, one_of: Any) -> None:
    client = ShopClient(app)
    client.http.get("/sign-in")
    with client.http.session_transaction() as cookie:
        token = cookie["csrf"]
    fields = {"name": one_of.name, "password": seed_demo.SHOPS["us"].password, "csrf_token": token, "act_key": "k" * 32}
    answer = client.http.post("/sign-in", data=fields)
    assert answer.status_code == 303
    assert client.http.get(answer.headers["Location"], follow_redirects=True).status_code == 200
