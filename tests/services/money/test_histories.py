"""Random histories of the money: whatever the desk does, numbers have no gap and paid and owed make up the invoiced."""

import random
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, timedelta
from pathlib import Path

import pytest
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Allocation, Invoice, InvoiceLine, InvoiceTax, Payment
from shopbook.models.session import make_engine, transaction
from shopbook.queries.money.approvals import agreed_quotes_of
from shopbook.queries.money.billable import agreed_work, asked_of, billing_day
from shopbook.queries.money.invoices import find_live_invoice, payer_standings, total_invoiced
from shopbook.queries.money.issued import issued_of
from shopbook.queries.money.owed import job_stands, list_on_account, list_owed
from shopbook.queries.money.payers import payers_by_job
from shopbook.queries.money.payments import list_free
from shopbook.queries.money.whose import approved_by
from shopbook.services.act import Act
from shopbook.services.money.allocations import move_allocation, settle
from shopbook.services.money.credits import credit_invoice
from shopbook.services.money.deposits import take_deposit
from shopbook.services.money.hand_over import let_go
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.payments import refund, take_payment, write_off
from shopbook.services.shop.rates import set_settings
from shopbook.trade.errors import Conflict, RuleBroken
from shopbook.trade.permissions import Actor, Role
from shopbook.trade.settings import SettingName
from tests.asking import still_to_pay
from tests.conftest import NOON
from tests.makers import make_book, make_customer, make_person
from tests.makers.billing import add_quote, make_job, name_payer, prove, say_pays, set_tax

STEPS = 30


class Desk:
    """One shop whose desk presses at random; each act is its own transaction, as on the pages."""

    def __init__(self, session: Session, seed: int) -> None:
        self.session, self.dice = session, random.Random(seed)
        self.now = NOON
        self.jobs: list[int] = []
        with transaction(session):
            make_book(session)
            self.who: Actor = make_person(session, "Noor", Role.OWNER, Role.DESK)
            set_tax(session, "vat", "VAT", self.dice.choice((7700, 20000, 13500)), [], date(2026, 1, 1), NOON)
            step = self.dice.choice((0, 0, 5))
            set_settings(Act(session, self.who, NOON), {SettingName.CASH_ROUNDING_MINOR: step}, date(2026, 1, 1))

    def step(self) -> None:
        papers = [self.issue, self.issue, self.agree_more, self.credit]
        money = [self.deposit, self.pay, self.pay, self.give_back, self.give_up, self.move]
        act = self.dice.choice([self.open, self.go, *papers, *money])
        self.now += timedelta(minutes=self.dice.randint(1, 600))
        try:
            with transaction(self.session):
                act()
        except (RuleBroken, Conflict):
            pass

    def open(self) -> None:
        owner = make_customer(self.session, f"Owner {len(self.jobs)}", "")
        job = make_job(self.session, self.now, owner, agreed_at=self.now)
        for kind in ("quote", "extra")[: self.dice.randint(1, 2)]:
            lines = [
                (self.dice.choice(("labour", "materials", "part")), f"line {n}", self.dice.randint(1, 90000))
                for n in range(self.dice.randint(1, 4))
            ]
            code = self.dice.choice(("", "", "vat"))
            inside = self.dice.random() < 0.3
            discount = self.dice.choice((0, 0, sum(amount for *_, amount in lines) // 7))
            add_quote(
                self.session,
                job,
                job.opened_at,
                [("car", f"{kind} group", lines)],
                kind=kind,
                code=code,
                has_tax_inside=inside,
                discount_minor=discount,
            )
        if self.dice.random() < 0.4:
            insurer = make_customer(self.session, f"Insurer {len(self.jobs)}", "", kind="insurer", pays_within_days=30)
            rule = self.dice.choice(("excess", "fixed", "excess_and_tax"))
            name_payer(self.session, job, owner, rule, self.dice.randint(0, 20000))
            name_payer(self.session, job, insurer, "rest")
            if (pays := self.dice.choice((None, 9_000, 10**7, 10**7))) is not None:
                say_pays(self.session, job, insurer, pays, job.opened_at)
        self.jobs.append(job.id)

    def agree_more(self) -> None:
        job = self.job()
        lines = [("labour", f"more {self.now:%d %H:%M}", self.dice.randint(1, 40000))]
        add_quote(
            self.session,
            job,
            self.now,
            [("car", f"found {self.now:%d %H:%M}", lines)],
            kind="extra",
            code=self.dice.choice(("", "vat")),
            has_tax_inside=self.dice.random() < 0.3,
            discount_minor=self.dice.choice((0, lines[0][2] // 9)),
        )
        settle(self.session, self.now, job)

    def job(self) -> Job:
        if not self.jobs:
            raise RuleBroken("no job yet")
        return self.session.get_one(Job, self.dice.choice(self.jobs))

    def means(self) -> str:
        return self.dice.choice(("cash", "card", "transfer"))

    def deposit(self) -> None:
        treatment = self.dice.choice(("taxed", "held", "security"))
        amount = self.dice.randint(1, 30000)
        take_deposit(
            Act(self.session, self.who, self.now),
            self.job().id,
            amount_minor=amount,
            means=self.means(),
            treatment=treatment,
        )

    def issue(self) -> None:
        issue_invoice(Act(self.session, self.who, self.now), self.job().id)

    def pay(self) -> None:
        job = self.job()
        live = find_live_invoice(self.session, job.id)
        rows = payer_standings(self.session, [live.id])[live.id] if live else []
        row = self.dice.choice(rows) if rows else None
        owed = row.owed_minor if row else 100
        amount = self.dice.choice(
            (owed, max(1, owed // 2), owed + 777, (owed + 2) // 5 * 5, self.dice.randint(1, 99999))
        )
        payer = row.customer_id if row else None
        take_payment(
            Act(self.session, self.who, self.now),
            job_id=job.id,
            amount_minor=amount,
            means=self.means(),
            customer_id=payer,
        )

    def paper(self) -> Invoice:
        papers = self.session.scalars(select(Invoice).order_by(Invoice.id)).all()
        if not papers:
            raise RuleBroken("no paper yet")
        return self.dice.choice(papers)

    def credit(self) -> None:
        paper = self.paper()
        way = self.dice.choice(("rest", "lines", "amount"))
        places = [0] if way == "lines" else []
        amount = self.dice.randint(1, max(1, abs(paper.gross_minor))) if way == "amount" else None
        credit_invoice(
            Act(self.session, self.who, self.now), paper.id, reason="slip", places=places, amount_minor=amount
        )

    def give_back(self) -> None:
        free = list_free(self.session, with_security=True)
        if free:
            row = self.dice.choice(free)
            amount = self.dice.randint(1, row.free_minor + 5)
            refund(
                Act(self.session, self.who, self.now), row.payment.id, amount_minor=amount, means="card", reason="asked"
            )

    def give_up(self) -> None:
        lines = list_owed(self.session)
        if lines and self.dice.random() < 0.3:
            line = self.dice.choice(lines)
            write_off(
                Act(self.session, self.who, self.now), line.invoice.id, customer_id=line.customer_id, reason="gone"
            )

    def move(self) -> None:
        lines, free = list_owed(self.session), list_free(self.session)
        if lines and free:
            row = self.dice.choice(free)
            target = self.dice.choice(lines).invoice.id
            move_allocation(
                Act(self.session, self.who, self.now),
                row.payment.id,
                from_invoice_id=None,
                to_invoice_id=target,
                amount_minor=self.dice.randint(1, row.free_minor),
            )

    def go(self) -> None:
        job = self.job()
        if find_live_invoice(self.session, job.id) is not None:
            let_go(Act(self.session, self.who, self.now), job.id, "pays later")


def total(session: Session, column: object) -> int:
    return int(session.scalar(select(func.sum(column))) or 0)  # type: ignore[call-overload]


def check(session: Session) -> None:
    prove(session)
    papers = session.scalars(select(Invoice)).all()
    for series in ("invoice", "credit"):
        numbers = sorted(paper.number for paper in papers if paper.series == series)
        assert numbers == list(range(1, len(numbers) + 1))
    receipts = sorted(session.scalars(select(Payment.number).where(Payment.series == "receipt")))
    assert receipts == list(range(1, len(receipts) + 1))
    standings = payer_standings(session, [paper.id for paper in papers if paper.kind != "credit"])
    rows = [row for each in standings.values() for row in each]
    assert all(row.owed_minor >= 0 and row.share_minor >= 0 for row in rows)
    owed, paid = sum(row.owed_minor for row in rows), total(session, Allocation.amount_minor)
    assert paid + owed == total(session, Invoice.gross_minor)
    free = sum(row.free_minor for row in list_on_account(session))
    assert total(session, Payment.amount_minor) == paid + free
    check_agreed(session)
    net, tax = total_invoiced(session, date(2026, 1, 1), date(2027, 12, 31))
    assert tax == total(session, Invoice.tax_minor) == total(session, InvoiceTax.tax_minor)
    assert net == total(session, InvoiceLine.net_minor) == total(session, InvoiceTax.basis_minor)
    jobs = session.scalars(select(Job)).all()
    left = still_to_pay(session, [job.id for job in jobs], date(2026, 12, 1))
    assert all(amount >= 0 for amount in left.values())
    stands = job_stands(session, [job.id for job in jobs], date(2026, 12, 1))
    for job in jobs:
        open_papers = [paper.id for paper in papers if paper.job_id == job.id and paper.kind != "credit"]
        if job.handed_over_at is not None:
            is_open = any(row.owed_minor for paper in open_papers for row in standings[paper])
            is_held = bool(list_free(session, job_id=job.id, with_security=True))
            is_waiting = stands[job.id].rest_minor > 0 or bool(stands[job.id].held)
            assert (job.settled_at is None) == (is_open or is_held or is_waiting)


def check_agreed(session: Session) -> None:
    """All invoices of a job together stay within what was agreed, but for a unit of rounding for each line."""
    ids = list(session.scalars(select(Job.id)))
    issued, work = issued_of(session, ids), agreed_work(session, ids)
    day = billing_day(session, date(2026, 12, 1))
    for job_id in ids:
        agreed = asked_of(work[job_id], day).agreed_minor
        assert issued[job_id].gross_minor <= agreed + len(issued[job_id].lines)
    check_approved(session, ids)


def check_approved(session: Session, ids: list[int]) -> None:
    """No payer besides the customer was ever billed past its approval, but for rounding; none that approved nothing."""
    issued, quotes, payers = issued_of(session, ids), agreed_quotes_of(session, ids), payers_by_job(session, ids)
    for job_id in ids:
        approved = approved_by(payers[job_id], quotes[job_id])
        for payer in (one for one in payers[job_id] if not one.is_customer):
            most, billed = approved[payer.key], issued[job_id].billed.get(payer.customer_id, 0)
            assert billed <= most + (len(issued[job_id].lines) if most else 0)


@contextmanager
def desk(url: str, seed: int) -> Iterator[Desk]:
    engine = make_engine(url)
    with Session(engine) as session:
        yield Desk(session, seed)
    engine.dispose()


@pytest.mark.parametrize("seed", [*range(10), *(pytest.param(seed, marks=pytest.mark.demo) for seed in range(10, 100))])
def test_a_random_history_holds_on_sqlite(book_file: Path, seed: int) -> None:
    with desk(f"sqlite:///{book_file}", seed) as shop:
        for _ in range(STEPS):
            shop.step()
        with transaction(shop.session):
            check(shop.session)


@pytest.mark.parametrize("seed", range(100, 120))
def test_a_random_history_holds_on_postgresql(postgres_url: str, seed: int) -> None:
    with desk(postgres_url, seed) as shop:
        for _ in range(STEPS):
            shop.step()
        with transaction(shop.session):
            check(shop.session)


def test_histories_really_come_to_papers_and_money(empty_book_file: Path, tmp_path: Path) -> None:
    """A guard on the test itself: the dice reach every kind of paper and of money."""
    kinds, most = set[str](), 0
    by_job = select(func.count()).where(Invoice.kind == "invoice").group_by(Invoice.job_id)
    for seed in (4242, 7):
        with desk(f"sqlite:///{shutil.copy(empty_book_file, tmp_path / str(seed))}", seed) as shop:
            for _ in range(4 * STEPS):
                shop.step()
            with transaction(shop.session):
                kinds |= {*shop.session.scalars(select(Invoice.kind)), *shop.session.scalars(select(Payment.kind))}
                check(shop.session)
                most = max(most, *shop.session.scalars(by_job))
    assert most > 1, "some job has further invoices"
    assert {"invoice", "deposit", "credit", "payment", "held", "security", "refund"} <= kinds
