"""The work in progress of a small frozen book, by hand: six jobs over October and November."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime

import pytest
from sqlalchemy import event
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Invoice
from shopbook.queries.reports.cars_read import read_cars
from shopbook.queries.reports.work_in_progress import follow_jobs, read_work
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.services.act import Act
from shopbook.services.jobs.parts import add_part, part_came
from shopbook.services.money.close import close_month, reopen_month
from shopbook.services.money.corrected_paper import Right
from shopbook.services.money.corrections import correct_invoice
from shopbook.services.money.credits import credit_invoice
from shopbook.services.money.deposits import take_deposit
from shopbook.services.money.invoices import issue_invoice
from shopbook.trade.measures.days import month_bounds
from shopbook.trade.permissions import THE_PROGRAM
from shopbook.trade.results.kept_month import work_numbers
from shopbook.trade.results.margin import Costs, share_words
from shopbook.trade.results.profit import month_profit
from shopbook.trade.results.work_in_progress import WorkInProgress
from tests.makers.billing import add_quote, make_job, set_tax
from tests.makers.floor import at
from tests.queries.money.test_shop_supplies import opened, worked


def noon(month: int, day: int) -> datetime:
    return datetime(2026, month, day, 16, 0, tzinfo=UTC)


def make_priced(session: Session, came: datetime, net_minor: int, **given: object) -> Job:
    """A paying job with its approval, of so much before tax."""
    job = make_job(session, came, **given)
    add_quote(session, job, job.opened_at, [("car", "Repair", [("labour", "Repair", net_minor)])])
    return job


def spend(session: Session, job: Job, minor: int, moment: datetime) -> None:
    """Something bought for the car that came at that moment."""
    part = add_part(Act(session, THE_PROGRAM, moment), job.id, name="Lamp", cost_minor=minor)
    part_came(Act(session, THE_PROGRAM, moment), part.id)


def bill(session: Session, job: Job, moment: datetime) -> Invoice:
    return issue_invoice(Act(session, THE_PROGRAM, moment), job.id)


def read(session: Session, month: str) -> WorkInProgress:
    first, last = month_bounds(month)
    shop = ShopOn(session, last)
    return read_work(shop, follow_jobs(read_cars(shop, first, last), first, last))


@pytest.fixture
def jobs(session: Session) -> dict[str, Job]:
    """A to F, in the order in which they are worked on."""
    september, october, november = noon(9, 29), noon(10, 20), noon(11, 3)
    made = {
        "A": make_priced(session, october, 115_000),
        "B": make_priced(session, november, 50_000),
        "C": make_priced(session, november, 62_000, handed_over_on=date(2026, 11, 24)),
        "E": make_priced(session, november, 30_000),
        "D": make_job(session, november, purpose="comeback"),
        "F": make_priced(session, september, 20_000),
    }
    spend(session, made["A"], 34_000, october)
    bill(session, made["F"], october)
    for name, minor in (("A", 16_800), ("B", 38_500), ("C", 25_500), ("E", 7_000), ("D", 11_800), ("F", 2_400)):
        spend(session, made[name], minor, november)
    bill(session, made["A"], noon(11, 20))
    made["E"].called_off_at = noon(11, 12)
    session.flush()
    return made


def test_the_cars_not_invoiced_carry_their_cost_into_the_next_month(session: Session, jobs: dict[str, Job]) -> None:
    """340.00 + 878.00 − 508.00 − 70.00 = 640.00; finished, not invoiced: 1 car, cost 255.00, to be billed 620.00."""
    work = read(session, "2026-11")
    sums = (work.opening_minor, work.added_minor, work.invoiced_minor, work.cancelled_minor, work.closing_minor)
    assert sums == (34_000, 87_800, 50_800, 7_000, 64_000)
    by = {name: work.jobs[str(job.number)] for name, job in jobs.items()}
    assert {name: row.closing_minor for name, row in by.items() if row.closing_minor} == {"B": 38_500, "C": 25_500}
    assert work.finished == (str(jobs["C"].number),)
    assert work.to_bill == {str(jobs["C"].number): 62_000}
    profit = month_profit(115_000, work.jobs.values())
    assert (profit.gross.margin_minor, share_words(profit.gross.share_permille)) == (64_200, "55.8 %")
    assert (profit.rework_minor, profit.cancelled_minor, profit.later_minor) == (11_800, 7_000, 2_400)
    assert profit.after_cars_minor == 43_000


def test_the_closing_of_a_month_is_the_opening_of_the_next(session: Session, jobs: dict[str, Job]) -> None:
    months = [read(session, month) for month in ("2026-09", "2026-10", "2026-11", "2026-12")]
    assert [work.closing_minor for work in months] == [0, 34_000, 64_000, 64_000]
    assert [work.opening_minor for work in months[1:]] == [0, 34_000, 64_000]


def test_a_credit_does_not_bring_the_cost_back(session: Session, jobs: dict[str, Job], act: Act) -> None:
    paper = session.query(Invoice).filter_by(job_id=jobs["A"].id).one()
    credit_invoice(Act(session, THE_PROGRAM, noon(11, 25)), paper.id, reason="wrong car")
    assert read(session, "2026-11").closing_minor == 64_000
    spend(session, jobs["A"], 1_000, noon(12, 2))
    december = read(session, "2026-12")
    assert (december.closing_minor, december.jobs[str(jobs["A"].number)].later.total_minor) == (64_000, 1_000)


def test_two_invoices_of_a_job_take_400_and_150(session: Session) -> None:
    """400.00 then 700.00 in November, 150.00 then 300.00 in December: gross profit 300.00 and 150.00."""
    job = make_priced(session, noon(11, 3), 70_000)
    spend(session, job, 40_000, noon(11, 3))
    bill(session, job, noon(11, 20))
    add_quote(session, job, noon(12, 1), [("extra", "Door", [("labour", "Door", 30_000)])], kind="extra")
    spend(session, job, 15_000, noon(12, 2))
    assert bill(session, job, noon(12, 3)).net_minor == 30_000
    earned = [
        month_profit(net, read(session, month).jobs.values()).gross.margin_minor
        for month, net in (("2026-11", 70_000), ("2026-12", 30_000))
    ]
    assert earned == [30_000, 15_000]


def test_a_deposit_invoice_takes_nothing_out_and_a_corrected_one_is_no_further_one(session: Session, act: Act) -> None:
    set_tax(session, "vat", "VAT", 20_000, ["labour"], date(2026, 1, 1), noon(11, 1))
    job = make_job(session, noon(11, 3))
    add_quote(session, job, job.opened_at, [("car", "Repair", [("labour", "Repair", 100_000)])], code="vat")
    spend(session, job, 9_000, noon(11, 3))
    take_deposit(act, job.id, amount_minor=30_000, means="card", treatment="taxed")
    assert read(session, "2026-11").closing_minor == 9_000
    paper = bill(session, job, noon(11, 20))
    spend(session, job, 1_000, noon(11, 25))
    correct_invoice(Act(session, THE_PROGRAM, noon(11, 26)), paper.id, Right("Typed wrong", amounts={0: 98_000}))
    row = read(session, "2026-11").jobs[str(job.number)]
    assert (row.invoiced.total_minor, row.further.total_minor, row.later.total_minor) == (9_000, 0, 1_000)


def test_the_share_of_shop_supplies_is_so_far_until_the_month_ends_and_goes_with_its_invoice(
    session: Session, act: Act
) -> None:
    """10.00 opened on the 3rd and 20.00 on the 20th; one hour of two is the first job's: 15.00, invoiced on the 9th."""
    first, second = make_priced(session, noon(11, 3), 50_000), make_priced(session, noon(11, 3), 50_000)
    opened(session, act.actor, date(2026, 11, 3), 1000)
    worked(session, act.actor, first, date(2026, 11, 3), "8:00", 1)
    bill(session, first, noon(11, 9))
    opened(session, act.actor, date(2026, 11, 20), 2000)
    worked(session, act.actor, second, date(2026, 11, 20), "8:00", 1)
    jobs = read(session, "2026-11").jobs
    assert jobs[str(first.number)].invoiced == Costs(labour_minor=3_100, supplies_minor=1_500)
    assert jobs[str(second.number)].closing_minor == 3_100 + 1_500


def close(session: Session, month: str, moment: datetime) -> None:
    numbers = work_numbers(read(session, month))
    close_month(Act(session, THE_PROGRAM, moment), month, {}, numbers=numbers)


def test_the_opening_of_a_closed_month_is_its_kept_figure(session: Session, jobs: dict[str, Job]) -> None:
    """E is taken up again after November was closed: 640.00 were kept, 70.00 came back, and both are said."""
    close(session, "2026-11", noon(12, 1))
    kept = read(session, "2026-12")
    assert (kept.opening_minor, kept.changed_minor, kept.closing_minor) == (64_000, 0, 64_000)
    jobs["E"].called_off_at = None
    session.flush()
    again = read(session, "2026-12")
    assert (again.opening_minor, again.changed_minor, again.closing_minor) == (64_000, 7_000, 71_000)
    reopen_month(Act(session, THE_PROGRAM, noon(12, 2)), "2026-11", reason="E goes on")
    now = read(session, "2026-12")
    assert (now.opening_minor, now.changed_minor, now.closing_minor) == (71_000, 0, 71_000)


def test_a_job_cancelled_late_in_the_evening_is_cancelled_on_the_shops_day(session: Session) -> None:
    """11:30 pm on November 30 by the shop's clock is December 1 in UTC."""
    job = make_priced(session, noon(11, 3), 50_000, called_off_at=at("23:30", date(2026, 11, 30)))
    spend(session, job, 9_000, noon(11, 4))
    november = read(session, "2026-11")
    assert (november.cancelled_minor, november.closing_minor) == (9_000, 0)
    assert read(session, "2026-12").opening_minor == 0


def test_the_number_of_statements_does_not_grow_with_the_jobs(session: Session, jobs: dict[str, Job]) -> None:
    with counted(session) as before:
        read(session, "2026-11")
    for _ in range(3):
        spend(session, make_priced(session, noon(11, 3), 1_000, handed_over_on=date(2026, 11, 24)), 500, noon(11, 4))
    session.flush()
    with counted(session) as after:
        read(session, "2026-11")
    assert len(before) == len(after) > 0


@contextmanager
def counted(session: Session) -> Iterator[list[str]]:
    seen: list[str] = []

    def listen(*told: object) -> None:
        seen.append(str(told[2]))

    event.listen(session.get_bind(), "before_cursor_execute", listen)
    yield seen
    event.remove(session.get_bind(), "before_cursor_execute", listen)
