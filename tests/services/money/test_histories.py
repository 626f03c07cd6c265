"""Random histories of the money: whatever the desk does, numbers have no gap and paid and owed make up the invoiced."""

import shutil
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from pathlib import Path

import pytest
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Allocation, Invoice, InvoiceLine, InvoiceTax, Payment
from shopbook.models.session import transaction
from shopbook.models.shop import Book, Setting
from shopbook.queries.money.approvals import agreed_quotes_of
from shopbook.queries.money.billable import agreed_work, asked_of, billing_day
from shopbook.queries.money.invoices import payer_standings, total_invoiced
from shopbook.queries.money.issued import issued_of
from shopbook.queries.money.owed import job_stands, list_on_account, list_owed
from shopbook.queries.money.payers import payers_by_job
from shopbook.queries.money.payments import list_free
from shopbook.queries.money.whose import approved_by
from shopbook.queries.reports.tax import get_tax
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.results.tax_basis import TaxBasis
from tests.asking import still_to_pay
from tests.makers.billing import prove
from tests.makers.random_desk import desk

STEPS = 30


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
    check_as_of(session)
    check_tax(session)
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


def check_as_of(session: Session) -> None:
    """By the days of the ledgers as by their sums: what is owed and held at the end of all days is what is so now."""
    last = date(2028, 1, 1)
    assert sorted(map(str, list_owed(session, last))) == sorted(map(str, list_owed(session)))
    assert sum(row.owed_minor for row in list_owed(session, last)) == sum(
        row.owed_minor
        for paper in session.scalars(select(Invoice).where(Invoice.kind != "credit"))
        for row in payer_standings(session, [paper.id])[paper.id]
    )
    assert [(row.payment_id, row.free_minor) for row in list_on_account(session, last)] == [
        (row.payment.id, row.free_minor) for row in list_free(session, with_security=True)
    ]


def check_tax(session: Session) -> None:
    """On every basis each sale counts once: the spans add up to the papers, by money to what was taken and kept."""
    book, cuts = session.get_one(Book, 1), (date(2026, 1, 1), date(2026, 11, 1), date(2026, 11, 15), date(2026, 12, 1))
    book.country = "gb"
    spans = [(first, later - timedelta(days=1)) for first, later in pairwise((*cuts, date(2028, 1, 1)))]
    taken = session.scalar(select(func.sum(Payment.amount_minor)).where(Payment.series == "receipt")) or 0
    is_money = Payment.id.in_(select(Payment.id).where(Payment.series == "receipt"))
    set_of = select(func.sum(Allocation.amount_minor)).join(Payment, Payment.id == Allocation.payment_id)
    for place, basis in enumerate(TaxBasis):
        at = datetime(2026, 1, 1, place, tzinfo=UTC)
        session.add(Setting(name="tax_basis", value=basis.value, from_on=date(2025, 1, 1), at=at))
        session.flush()
        shop = ShopOn(session, date(2027, 12, 31))
        whole = get_tax(shop, date(2026, 1, 1), date(2027, 12, 31))
        parts = [get_tax(shop, *span) for span in spans]
        assert sum(part.tax_minor for part in parts) == whole.tax_minor
        assert sum(part.basis_minor for part in parts) == whole.basis_minor
        if basis is TaxBasis.RECEIVED:
            assert (session.scalar(set_of.where(is_money)) or 0) <= whole.basis_minor + whole.tax_minor <= taken
        else:
            assert whole.tax_minor == total(session, InvoiceTax.tax_minor)
            assert whole.basis_minor == total(session, InvoiceTax.basis_minor)


def check_agreed(session: Session) -> None:
    """All invoices of a job together stay within what was agreed, but for a unit of rounding for each line."""
    ids = list(session.scalars(select(Job.id)))
    issued, work = issued_of(session, ids), agreed_work(session, ids)
    day = billing_day(session, date(2026, 12, 1))
    for job_id in ids:
        agreed = asked_of(work[job_id], day).agreed_minor + sum(issued[job_id].approved.values())
        assert issued[job_id].gross_minor <= agreed + len(issued[job_id].lines)
    check_approved(session, ids)


def check_approved(session: Session, ids: list[int]) -> None:
    """No payer besides the customer was ever billed past its approval, but for rounding; none that approved nothing."""
    issued, quotes, payers = issued_of(session, ids), agreed_quotes_of(session, ids), payers_by_job(session, ids)
    for job_id in ids:
        approved = approved_by(payers[job_id], quotes[job_id], issued[job_id].approved)
        for payer in (one for one in payers[job_id] if not one.is_customer):
            most, billed = approved[payer.key], issued[job_id].billed.get(payer.customer_id, 0)
            assert billed <= most + (len(issued[job_id].lines) if most else 0)


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
    kinds, most, corrected = set[str](), 0, 0
    by_job = select(func.count()).where(Invoice.kind == "invoice").group_by(Invoice.job_id)
    for seed in (4242, 7):
        with desk(f"sqlite:///{shutil.copy(empty_book_file, tmp_path / str(seed))}", seed) as shop:
            for _ in range(4 * STEPS):
                shop.step()
            with transaction(shop.session):
                kinds |= {*shop.session.scalars(select(Invoice.kind)), *shop.session.scalars(select(Payment.kind))}
                check(shop.session)
                corrected += shop.session.scalar(select(func.count(Invoice.corrects_id))) or 0
                most = max(most, *shop.session.scalars(by_job))
    assert corrected > 1
    assert most > 1, "some job has further invoices"
    assert {"invoice", "deposit", "credit", "payment", "held", "security", "refund", "written_off"} <= kinds
