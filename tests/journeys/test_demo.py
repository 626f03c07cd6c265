"""The demo as it is built: what its story holds, that the book proves, and every page of it as every role sees it."""

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from flask import Flask
from sqlalchemy import Engine, event, select, text
from sqlalchemy.orm import Session

import seed_demo
from shopbook.app import create_app
from shopbook.commands.book import Refused, alone
from shopbook.commands.check import prove_book
from shopbook.commands.demo.folder import ready_demo
from shopbook.config import Config
from shopbook.models.jobs import Job
from shopbook.models.session import make_engine
from shopbook.queries.floor.clocks import list_running
from shopbook.queries.floor.hours import list_unplaced_days
from shopbook.queries.floor.windows import list_running_waits
from shopbook.queries.jobs.jobs import job_standing
from shopbook.queries.money.agreements import risks_of
from shopbook.queries.shelf.lots import list_expiring
from shopbook.queries.shelf.orders import list_drafts, list_on_the_way
from shopbook.queries.shelf.sheet import list_short
from shopbook.queries.shop.days import find_closed_through
from shopbook.web.parts.act import db
from tests.clients import ShopClient

NOW = datetime(2026, 11, 25, 15, 40, tzinfo=UTC)
"""A Wednesday at 10:40 in the demo's shop."""
TODAY = date(2026, 11, 25)
PEOPLE = ("Noor", "Marit", "Dana")
MOST_STATEMENTS = {"reports.today": 120, "jobs.show": 130, "reports.month": 80}
"""Pages that gather from every area; any other asks sixty times at most."""
AIR = frozenset({"reports.air", "reports.air_csv", "reports.paper", "reports.new_paper"})
"""Shown only to a shop that switched the air and waste record on."""
A_STRETCH = "?begins=2026-11-24T18:00:00%2B00:00&ends=2026-11-24T18:30:00%2B00:00"
"""What the page that places a hole of a day is asked for with."""
A_DEVICE = frozenset({"shop.pin"})
LEADS_ON = frozenset({"shop.front", "shop.who", "reports.air_now", "reports.months", "jobs.by_id", "money.edit_quote"})

Built = tuple[Config, Engine]


def built_in(folder: Path, story: str) -> Iterator[Built]:
    config = ready_demo(folder, NOW, lambda *given: seed_demo.build(*given, story=story))
    engine = make_engine(config.database_url)
    yield config, engine
    engine.dispose()


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Built]:
    """The demo as it would have been built on that Wednesday."""
    yield from built_in(tmp_path_factory.mktemp("demo") / "whole", seed_demo.STORY)


@pytest.fixture(scope="module")
def half(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Built]:
    """The demo with every other car of earlier weeks left out; whatever stands in the shop today is the same."""
    lines = seed_demo.STORY.strip().splitlines()
    told = "\n".join(line for place, line in enumerate(lines) if place % 2 or is_told_anyhow(line))
    yield from built_in(tmp_path_factory.mktemp("demo") / "half", told)


def is_told_anyhow(line: str) -> bool:
    """A car of these days, or one that comes back."""
    return int(line.partition("|")[0]) < 25 or "Leila Moss" in line


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
def half_app(half: Built) -> Iterator[Flask]:
    yield from app_of(half[0])


def test_the_book_of_the_demo_proves(demo: Built) -> None:
    proofs = list(prove_book(*demo))
    assert len(proofs) > 10
    assert [fault for proof in proofs for fault in proof.faults] == []


def test_jobs_stand_everywhere_that_a_job_can_stand(session: Session) -> None:
    standings = Counter(job_standing(job).value for job in session.scalars(select(Job)))
    assert sum(standings.values()) >= 60
    assert set(standings) == {"quoted", "agreed", "in_work", "ready", "handed_over", "settled", "called_off"}
    assert standings["in_work"] >= 4
    assert standings["handed_over"] >= 5
    assert set(session.scalars(select(Job.called_off_why))) >= {"price", "time", "no_answer", "other"}


COUNTED = {
    "two pictures of damage each": "SELECT count(*) FROM picture",
    "gauge readings": "SELECT count(*) FROM gauge_reading",
    "troubles with a cause": "SELECT count(*) FROM trouble WHERE cause <> ''",
    "stages done once more": "SELECT count(*) FROM stage WHERE purpose = 'rework' AND finished_at IS NOT NULL",
    "a comeback": "SELECT count(*) FROM job WHERE comeback_of_id IS NOT NULL",
    "an insurer beside an owner's excess": "SELECT count(*) FROM job_payer WHERE rule = 'excess' AND amount_minor > 0",
    "groups that were left": "SELECT count(*) FROM agreement_group WHERE NOT is_taken",
    "extras": "SELECT count(*) FROM quote WHERE kind = 'extra'",
    "kerb prices": "SELECT count(*) FROM quote WHERE kind = 'kerb'",
    "deposits": "SELECT count(*) FROM payment WHERE kind = 'held'",
    "a credit note": "SELECT count(*) FROM invoice WHERE kind = 'credit'",
    "money given back": "SELECT count(*) FROM payment WHERE kind = 'refund'",
    "small dents by count": "SELECT count(*) FROM damage WHERE kind = 'small_dents' AND dent_count > 0",
    "counts with differences": "SELECT count(*) FROM count_line WHERE seen_thousandths <> book_thousandths",
    "something wasted": "SELECT count(*) FROM movement WHERE kind = 'wasted'",
    "a part that is late": "SELECT count(*) FROM job_part WHERE came_at IS NULL AND due_on < '2026-11-25'",
    "absences still to come": "SELECT count(*) FROM absence WHERE \"on\" > '2026-11-25'",
    "left-over pots": "SELECT count(*) FROM pot",
    "closed months": "SELECT count(*) FROM month_close",
    "orders that came in parts": (
        "SELECT count(*) FROM (SELECT order_id FROM delivery"
        " WHERE order_id IS NOT NULL GROUP BY order_id HAVING count(*) > 1)"
    ),
    "invoices paid in parts": (
        "SELECT count(*) FROM (SELECT invoice_id FROM allocation GROUP BY invoice_id HAVING count(*) > 1)"
    ),
}


@pytest.mark.parametrize("what", COUNTED)
def test_the_story_holds(session: Session, what: str) -> None:
    assert session.scalar(text(COUNTED[what])) > 0, what


def test_this_morning_something_runs_waits_is_short_and_spoils(session: Session) -> None:
    assert len(list_running(session)) == 2
    assert any(wait.ready_at > NOW for wait in list_running_waits(session, NOW))
    assert {day.on for day in list_unplaced_days(session, NOW)} == {date(2026, 11, 24)}
    assert list_short(session, TODAY)
    assert list_on_the_way(session)
    assert list_drafts(session)
    assert any(row.left.lot.opened_on for row in list_expiring(session, TODAY))


def test_an_extra_is_at_risk_and_money_is_on_account(session: Session) -> None:
    risks = risks_of(session, list(session.scalars(select(Job.id))))
    assert any(risks.values())
    free = "SELECT sum(amount_minor) - (SELECT sum(amount_minor) FROM allocation) FROM payment"
    assert session.scalar(text(free)) > 0


def test_every_month_but_the_last_is_closed(session: Session) -> None:
    assert find_closed_through(session) == date(2026, 9, 30)


def test_nothing_is_dated_ahead(session: Session) -> None:
    for table in ("movement", "clock_entry", "payment", "log_line"):
        assert session.scalar(text(f"SELECT max(at) FROM {table}")) <= NOW.strftime("%Y-%m-%d %H:%M:%S.999999"), table


def one(session: Session, sql: str) -> Any:
    return session.execute(text(sql)).first()


def usual_ids(session: Session) -> dict[str, Any]:
    """Something that is there for each gap of an address."""
    at_work = one(session, "SELECT j.number, s.id, j.id FROM running_share r JOIN stage s ON s.id = r.stage_id"
                           " JOIN job j ON j.id = s.job_id ORDER BY r.stage_id")  # fmt: skip
    tables = {"customer_id": "customer", "vehicle_id": "vehicle", "person_id": "person", "place_id": "place"}
    tables |= {"material_id": "material", "delivery_id": "delivery", "order_id": "supply_order", "paper_id": "paper"}
    tables |= {"supplier_id": "supplier", "payment_id": "payment", "entry_id": "clock_entry", "picture_id": "picture"}
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
    return {
        "jobs.damage": {"number": damage[0], "damage_id": damage[1]},
        "jobs.part": {"number": part[0], "part_id": part[1]},
        "money.request_pdf": {"invoice_id": owed[0], "payer_id": owed[1]},
        "money.write_off": {"invoice_id": owed[0], "payer_id": owed[1]},
        "floor.trouble_found": {"kind": "run", "coat": "clear"},
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
    usual |= {"quote_id": one(session, "SELECT max(id) FROM quote")[0], "payer_id": 0}
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
        and not (status == 404 and rule.split()[0] in AIR | A_DEVICE)
    }
    assert strange == {}


def count_statements(app: Flask, url: str, who: str = "Noor") -> int:
    client, counted = ShopClient(app).signed_in_as(who), Counter[str]()
    with app.app_context():
        engine = db.engine

    def note(*given: Any) -> None:
        counted[str(given[2]).split(" ", 1)[0]] += 1

    event.listen(engine, "before_cursor_execute", note)
    status = client.http.get(url).status_code
    event.remove(engine, "before_cursor_execute", note)
    assert status < 400, url
    return counted["SELECT"] + counted["WITH"]


def test_no_page_asks_more_questions_than_it_may(app: Flask, session: Session) -> None:
    shown = [rule for rule, status in answers(app, session, "Noor").items() if status == 200]
    urls: Mapping[str, str] = addresses(app, session)
    many = [rule for rule in shown if count_statements(app, urls[rule]) > MOST_STATEMENTS.get(rule.split()[0], 60)]
    assert many == []


@pytest.mark.parametrize("url", ["/today", "/jobs/", "/floor/", "/shelf/"])
def test_twice_the_jobs_ask_no_more_questions(app: Flask, half_app: Flask, url: str) -> None:
    # What is there of each kind today may differ by a question or two; forty more jobs may not show.
    assert count_statements(app, url) <= count_statements(half_app, url) + 3


def test_every_page_says_that_this_is_a_demo(app: Flask) -> None:
    client = ShopClient(app).signed_in_as("Noor")
    assert all("People, cars, firms and products here are invented" in client.text(url) for url in ("/today", "/jobs/"))


@pytest.mark.parametrize("one_of", seed_demo.SHOP.people, ids=lambda person: person.name)
def test_the_printed_sign_ins_open_the_shop(app: Flask, one_of: Any) -> None:
    client = ShopClient(app)
    client.http.get("/sign-in")
    with client.http.session_transaction() as cookie:
        token = cookie["csrf"]
    fields = {"name": one_of.name, "password": seed_demo.SHOP.password, "csrf_token": token, "act_key": "k" * 32}
    answer = client.http.post("/sign-in", data=fields)
    assert answer.status_code == 303
    assert client.http.get(answer.headers["Location"], follow_redirects=True).status_code == 200


def build_nothing(config: Config, engine: Engine, moment: datetime) -> None:
    """An empty book stands in for the story: what is tried is what becomes of the folder."""


def test_a_demo_of_today_is_kept_and_an_older_one_built_anew(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "demo"
    ready_demo(folder, NOW, build_nothing)
    ready_demo(folder, NOW + timedelta(hours=3), build_nothing)
    ready_demo(folder, NOW + timedelta(hours=30), build_nothing)
    ready_demo(folder, NOW + timedelta(hours=31), build_nothing, again=True)
    said = capsys.readouterr().out.splitlines()
    assert [re.sub(r".*\((.*)\).*", r"\1", line) for line in said] == [
        "there is none yet",
        "--again builds it anew",
        "the one that is there is more than a day old",
        "as asked",
    ]


def test_a_folder_with_something_else_in_it_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "letters.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(Refused, match="holds something that is no demo"):
        ready_demo(tmp_path, NOW, build_nothing, again=True)
    assert (tmp_path / "letters.txt").is_file()


def test_a_demo_that_is_served_is_not_taken_away(tmp_path: Path) -> None:
    config = ready_demo(tmp_path / "demo", NOW, build_nothing)
    with alone(config), pytest.raises(Refused, match="Another Shopbook is at work"):
        ready_demo(tmp_path / "demo", NOW, build_nothing, again=True)


def test_a_port_that_is_taken_is_a_sentence(demo: Built, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import socket

    monkeypatch.setattr(seed_demo, "now", lambda: NOW)
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = str(taken.getsockname()[1])
        words = ["--serve", "--port", port, "--folder", str(demo[0].data_folder)]
        result = CliRunner().invoke(seed_demo.main, words, catch_exceptions=False)
    assert result.exit_code == 1
    assert f"Port {port} is taken" in result.stderr
    assert "a dent a day" in result.stdout
