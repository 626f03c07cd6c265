"""No statement of a page or a named question walks through a table that grows over the years, by SQLite's own plan."""

import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date
from typing import Any

import pytest
from flask import Flask
from sqlalchemy import Connection, Engine, event
from sqlalchemy.orm import Session

from shopbook.models.money import Allocation
from shopbook.queries.jobs.comebacks import comebacks_of
from shopbook.queries.money.costs import list_costs
from shopbook.queries.money.owed import list_on_account, list_owed
from shopbook.queries.money.payer_account import get_payer_account
from shopbook.queries.money.set_lines import list_set_lines
from shopbook.queries.reports.cars_read import read_cars
from shopbook.queries.reports.paid import get_paid
from shopbook.queries.reports.payers import list_payers
from shopbook.queries.reports.tax_received import read_received
from shopbook.queries.shop.book import list_papers
from shopbook.queries.shop.log import list_job_log, list_subject_log
from shopbook.queries.shop.people import find_device
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.services.act import Act
from shopbook.services.money.invoices import issue_invoice
from shopbook.trade.permissions import THE_PROGRAM
from shopbook.web.parts.act import db
from shopbook.web.reports.accountant_files import flat_files
from tests.clients import ShopClient
from tests.conftest import NOON
from tests.house.test_permissions import address, rules
from tests.makers import make_customer
from tests.makers.billing import make_agreed_job

GROWING = {
    "act_key",
    "approval",
    "approval_group",
    "approval_work",
    "allocation",
    "attendance",
    "clock_entry",
    "clock_share",
    "coat_wait",
    "colour_card",
    "count_line",
    "customer",
    "damage",
    "delivery",
    "delivery_line",
    "delivery_price",
    "gauge_reading",
    "invoice",
    "invoice_line",
    "invoice_payer",
    "invoice_tax",
    "job",
    "job_part",
    "job_payer",
    "log_line",
    "mix",
    "mix_part",
    "mix_share",
    "movement",
    "paper",
    "payment",
    "picture",
    "picture_strike",
    "plan_version",
    "quote",
    "quote_group",
    "quote_line",
    "seal",
    "search_key",
    "spray_record",
    "stage",
    "stage_panel",
    "stage_use",
    "trouble",
    "vehicle",
}

NOVEMBER = (date(2026, 11, 1), date(2026, 11, 30))

QUESTIONS: dict[str, Callable[[Session], object]] = {
    "the log of a job": lambda session: list_job_log(session, 1),
    "the log of a subject": lambda session: list_subject_log(session, "material", 1),
    "the papers of a thing": lambda session: list_papers(session, "invoice", 1),
    "what some jobs cost": lambda session: list_costs(session, jobs=[1, 2], last=date(2026, 11, 30)),
    "what all jobs cost in a month": lambda session: list_costs(session, first=NOVEMBER[0], last=NOVEMBER[1]),
    "the cars of a month": lambda session: read_cars(ShopOn(session, NOVEMBER[1]), *NOVEMBER),
    "what a comeback cost": lambda session: comebacks_of(session, [1, 2]),
    "the accountant's tables of a month": lambda session: read_flat_tables(session),
    "a device by its token": lambda session: find_device(session, "x"),
    "what was owed on a past day": lambda session: list_owed(session, date(2026, 10, 31)),
    "what was held on a past day": lambda session: list_on_account(session, date(2026, 10, 31)),
    "the money that counts for tax": lambda session: read_received(session, *NOVEMBER, date(2026, 12, 5)),
    "the lines by which money was set": lambda session: list_set_lines(session, Allocation.payment_id.in_([1, 2])),
    "the payers of a month": lambda session: list_payers(session, *NOVEMBER),
    "what was paid by means": lambda session: get_paid(session, *NOVEMBER),
}
"""Questions that no page of the walk asks; add one here when it reads a table that grows."""

ALLOWED: dict[str, str] = {
    "SELECT count(*) FILTER (": "the ledger's tabs count every job in one pass; a shop has some hundred a year",
    "job.opened_on <= ?": "which cars stood here on a past day: a stay is two moments, which no index puts in order",
    "coalesce(invoice_payer.": "a share that moved to another payer after its invoice: a table taken once a month",
    "OR job_part.sent_back_at IS NOT NULL": "what came or went back in a month, of a few parts a job: two days a row",
}
"""Part of a statement that may walk through a table, and why."""


def read_flat_tables(session: Session) -> None:
    """Every row of every flat table of a month; a page hands them on only as they are fetched."""
    for _, body in flat_files(ShopOn(session, date(2026, 11, 30)), date(2026, 11, 1), sees_pay=True):
        assert b"".join(body)


class Watch:
    """Collects what is asked of SQLite, and the steps of each plan that walk through a growing table."""

    def __init__(self) -> None:
        self.walks: dict[str, str] = {}
        self.statements = 0

    def look(self, connection: Connection, cursor: Any, statement: str, parameters: Any, *rest: object) -> None:
        if not statement.lstrip().upper().startswith(("SELECT", "WITH")):
            return
        self.statements += 1
        if any(part in statement for part in ALLOWED):
            return
        plan = cursor.connection.cursor().execute(f"EXPLAIN QUERY PLAN {statement}", parameters)
        steps = [step for *_, step in plan.fetchall()]
        if self._stops_early(statement, steps):
            return
        for step in steps:
            walked = re.match(r"SCAN (\w+)", step)
            if walked and self._table(statement, walked[1]) in GROWING:
                self.walks[statement] = step

    @staticmethod
    def _stops_early(statement: str, steps: list[str]) -> bool:
        """Whether the first few rows are read in the order of a key, and no further; whose each is by now
        (`models/customers.py: whole_of`) and what else hangs on it is looked up by its key."""
        looked_up = "USING INTEGER PRIMARY KEY (rowid=?)"
        own = [step for step in steps if not any(part in step for part in ("pointer", "CORRELATED", looked_up))]
        asked = re.sub(r"\(SELECT pointer\..*?\)", "", statement, flags=re.DOTALL)
        is_sorted = any("TEMP B-TREE" in step for step in own)
        return " LIMIT " in asked and " WHERE " not in asked and not is_sorted and len(own) == 1

    @staticmethod
    def _table(statement: str, name: str) -> str:
        """The table behind the name that a plan uses: an alias or the table itself."""
        behind = re.search(rf"(\w+) AS {re.escape(name)}\b", statement)
        return behind[1] if behind else name


@contextmanager
def watching(engine: Engine) -> Iterator[Watch]:
    watch = Watch()
    event.listen(engine, "before_cursor_execute", watch.look)
    try:
        yield watch
    finally:
        event.remove(engine, "before_cursor_execute", watch.look)


@pytest.mark.parametrize("what", list(QUESTIONS))
def test_a_question_finds_its_rows_by_an_index(session: Session, what: str) -> None:
    engine = session.get_bind()
    assert isinstance(engine, Engine)
    with watching(engine) as watch:
        QUESTIONS[what](session)
    assert watch.statements
    assert watch.walks == {}


def test_what_a_payer_owes_is_found_by_an_index_in_as_many_statements_however_much_there_is(session: Session) -> None:
    engine, counts = session.get_bind(), []
    assert isinstance(engine, Engine)
    dealer = make_customer(session, "Harbor Motors", kind="dealer")
    for _ in range(3):
        job = make_agreed_job(session, NOON, customer=dealer)
        issue_invoice(Act(session, THE_PROGRAM, NOON), job.id)
        with watching(engine) as watch:
            get_payer_account(session, dealer.id, date(2026, 11, 1), date(2026, 11, 30))
        counts.append(watch.statements)
        assert watch.walks == {}
    assert len(set(counts)) == 1


def test_no_page_walks_through_a_table_that_grows(app: Flask) -> None:
    client = ShopClient(app).signed_in_as("Noor")
    with app.app_context():
        engine = db.engine
    walks: list[str] = []
    for rule in rules(app):
        if "GET" in (rule.methods or ()):
            with watching(engine) as watch:
                client.http.get(address(rule).replace("999999", "1"))
            walks += [f"{rule.rule}: {step}: {' '.join(asked.split())}" for asked, step in watch.walks.items()]
    assert walks == []
