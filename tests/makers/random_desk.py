"""A desk that presses at random: every act of money there is, each in a transaction of its own, as on the pages."""

import random
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date, timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Invoice
from shopbook.models.session import make_engine, transaction
from shopbook.queries.money.invoices import find_live_invoice, payer_standings
from shopbook.queries.money.owed import list_owed
from shopbook.queries.money.payments import list_free
from shopbook.services.act import Act
from shopbook.services.money.allocations import move_allocation, settle
from shopbook.services.money.correctable import read_correctable
from shopbook.services.money.corrected_paper import Right
from shopbook.services.money.corrections import AS_CREDIT, AS_PAID, correct_invoice
from shopbook.services.money.credits import credit_invoice
from shopbook.services.money.deposits import take_deposit
from shopbook.services.money.hand_over import let_go
from shopbook.services.money.invoice_approvals import ApprovalSaid
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.payments import refund, take_payment
from shopbook.services.money.rests import move_rest
from shopbook.services.money.write_offs import write_off
from shopbook.services.shop.rates import set_settings
from shopbook.trade.errors import Conflict, RuleBroken
from shopbook.trade.permissions import Actor, Role
from shopbook.trade.settings import SettingName
from tests.conftest import NOON
from tests.makers import make_book, make_customer, make_person
from tests.makers.billing import add_quote, make_job, name_payer, say_pays, set_tax


@contextmanager
def desk(url: str, seed: int) -> Iterator["Desk"]:
    """A shop of its own in an empty book, pressing by that seed."""
    engine = make_engine(url)
    with Session(engine) as session:
        yield Desk(session, seed)
    engine.dispose()


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

    def acts(self) -> list[Callable[[], object]]:
        """What the desk may do next, the usual twice."""
        papers = [self.issue, self.issue, self.agree_more, self.credit, self.correct]
        money = [self.deposit, self.pay, self.pay, self.give_back, self.give_up, self.move, self.charge]
        return [self.open, self.go, *papers, *money]

    def step(self) -> None:
        act = self.dice.choice(self.acts())
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

    def correct(self) -> None:
        paper = self.paper()
        first = read_correctable(self.session, paper.id)
        place, factor = self.dice.randrange(len(first.amounts)), self.dice.choice((100, 100, 60, 93, 108))
        right = Right(
            "slip", amounts={place: first.amounts[place] * factor // 100}, order=self.dice.choice(("", "PO 7"))
        )
        said = {row.customer_id: ApprovalSaid("them", "phone") for row in first.rows if self.dice.random() < 0.8}
        over = self.dice.choice((AS_PAID, AS_CREDIT, "cash"))
        correct_invoice(Act(self.session, self.who, self.now), paper.id, right, approvals=said, over=over)

    def charge(self) -> None:
        """What one payer still owes is charged to another."""
        lines = list_owed(self.session)
        if lines:
            line = self.dice.choice(lines)
            others = [row.customer_id for row in payer_standings(self.session, [line.invoice.id])[line.invoice.id]]
            move_rest(
                Act(self.session, self.who, self.now),
                line.invoice.id,
                from_id=line.customer_id,
                to_id=self.dice.choice(others) or 0,
                amount_minor=self.dice.randint(1, line.owed_minor),
                reason="short",
                approval=ApprovalSaid("them", "phone"),
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
                Act(self.session, self.who, self.now),
                line.invoice.id,
                customer_id=line.customer_id,
                reason="gone",
                amount_minor=self.dice.choice((None, 1 + line.owed_minor // 3)),
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
