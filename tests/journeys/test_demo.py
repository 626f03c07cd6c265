"""The demo as it is built: what its story holds, that its book proves, and what becomes of its folder."""

import re
import socket
from collections import Counter
from collections.abc import Iterator
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner
from sqlalchemy import Engine, select, text
from sqlalchemy.orm import Session

import seed_demo
from shopbook.commands.book import Refused, alone
from shopbook.commands.demo.folder import ready_demo, remove_demo
from shopbook.commands.proving import prove_book
from shopbook.config import Config
from shopbook.models.jobs import Job
from shopbook.queries.floor.clocks import list_running
from shopbook.queries.floor.hours import list_unplaced_days
from shopbook.queries.jobs.jobs import job_standing
from shopbook.queries.money.margins import margins
from shopbook.queries.money.whose import risks_of
from shopbook.queries.reports.month import get_month_end
from shopbook.queries.shelf.orders import list_drafts, list_on_the_way
from shopbook.queries.shelf.sheet import list_short
from shopbook.queries.shop.days import find_closed_through
from shopbook.queries.shop.shop_on import ShopOn
from tests.asking import list_expiring, list_running_waits
from tests.journeys.demos import NOW, Built

TODAY = date(2026, 11, 25)


@pytest.fixture
def session(demo: Built) -> Iterator[Session]:
    with Session(demo[1]) as opened:
        yield opened


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
    "groups that were left": "SELECT count(*) FROM approval_group WHERE NOT is_taken",
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
    assert {day.on for day in list_unplaced_days(ShopOn(session, TODAY), NOW)} == {date(2026, 11, 24)}
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


def test_a_job_earns_the_same_in_the_months_as_on_its_own_page(session: Session) -> None:
    months = {f"{day:%Y-%m}" for day in session.scalars(select(Job.opened_on))} | {f"{TODAY:%Y-%m}"}
    in_months: dict[int, int] = {}
    for month in sorted(months):
        figures = get_month_end(session, month)
        assert (figures.faults, figures.together.month) == ((), figures.all_jobs)
        in_months |= {int(number): row.whole.margin_minor for number, row in figures.by_job.items()}
    numbers = {job.id: job.number for job in session.scalars(select(Job).where(Job.number.in_(in_months)))}
    earned = margins(session, numbers, TODAY)
    assert len(numbers) > 40
    assert {numbers[key]: each.margin.so_far.margin_minor for key, each in earned.items()} == in_months


def test_nothing_is_dated_ahead(session: Session) -> None:
    for table in ("movement", "clock_entry", "payment", "log_line"):
        assert session.scalar(text(f"SELECT max(at) FROM {table}")) <= NOW.strftime("%Y-%m-%d %H:%M:%S.999999"), table


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
        "--again rebuilds it",
        "the existing one is more than a day old",
        "as asked",
    ]


def test_a_folder_with_something_else_in_it_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "letters.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(Refused, match="holds something other than a demo"):
        ready_demo(tmp_path, NOW, build_nothing, again=True)
    assert (tmp_path / "letters.txt").is_file()


def test_a_demo_is_thrown_away_and_nothing_else_is(tmp_path: Path) -> None:
    folder, other = tmp_path / "practice", tmp_path / "other"
    other.mkdir()
    (other / "letters.txt").write_text("dear all")
    with pytest.raises(Refused, match="something other than a demo"):
        remove_demo(other)
    remove_demo(tmp_path / "nowhere")
    with alone(ready_demo(folder, NOW, build_nothing)), pytest.raises(Refused, match="Another Shopbook is using"):
        remove_demo(folder)
    assert folder.exists()
    assert CliRunner().invoke(seed_demo.main, ["--remove", "--folder", str(folder)]).exit_code == 0
    assert not folder.exists()
    assert (other / "letters.txt").exists()


def test_a_demo_that_is_served_is_not_taken_away(tmp_path: Path) -> None:
    config = ready_demo(tmp_path / "demo", NOW, build_nothing)
    with alone(config), pytest.raises(Refused, match="Another Shopbook is using"):
        ready_demo(tmp_path / "demo", NOW, build_nothing, again=True)


def test_a_port_that_is_taken_is_a_sentence(demo: Built, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(seed_demo, "now", lambda: NOW)
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = str(taken.getsockname()[1])
        words = ["--serve", "--port", port, "--folder", str(demo[0].data_folder)]
        result = CliRunner().invoke(seed_demo.main, words, catch_exceptions=False)
    assert result.exit_code == 1
    assert f"Port {port} is in use" in result.stderr
    assert "a dent a day" in result.stdout
