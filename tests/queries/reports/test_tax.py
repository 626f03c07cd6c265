"""Tax of a span from the book: each basis, deposits, credits, corrections, closed months, a basis that changes."""

from datetime import date, datetime, timedelta

import pytest
from sqlalchemy import event, select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Invoice, Payment
from shopbook.models.shop import Book
from shopbook.queries.reports.tax import get_tax
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.services.act import Act
from shopbook.services.money.close import close_month
from shopbook.services.money.corrected_paper import Right
from shopbook.services.money.corrections import correct_invoice
from shopbook.services.money.credits import credit_invoice
from shopbook.services.money.deposits import take_deposit
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.payments import refund, take_payment
from shopbook.services.money.reversals import reverse_payment
from shopbook.services.shop.rates import set_settings
from shopbook.trade.permissions import Actor
from shopbook.trade.results.tax_span import SpanTax
from shopbook.trade.settings import SettingName
from tests.makers.billing import add_quote, make_job, prove, set_tax
from tests.makers.floor import at

FIRST, BEGINNING, CAME = date(2026, 1, 1), date(2026, 11, 1), date(2026, 11, 19)


def nov(day: int) -> date:
    return date(2026, 11, day)


def dec(day: int) -> date:
    return date(2026, 12, day)


@pytest.fixture
def uk(session: Session, now: datetime) -> Session:
    """A shop in the United Kingdom that charges 20 %."""
    session.get_one(Book, 1).country = "gb"
    set_tax(session, "vat", "VAT", 20000, ["labour", "materials", "part"], FIRST, now)
    set_tax(session, "sales", "Sales tax", 8000, [], FIRST, now)
    set_tax(session, "none", "Outside VAT", 0, ["sublet", "fee"], FIRST, now)
    session.flush()
    return session


def on(owner: Actor, session: Session, day: date, clock: str = "12:00") -> Act:
    return Act(session, owner, at(clock, day))


def say(session: Session, owner: Actor, basis: str, from_on: date = FIRST, day: date = BEGINNING) -> None:
    set_settings(on(owner, session, day, "8:00"), {SettingName.TAX_BASIS: basis}, from_on)


def job_of(session: Session, net: int = 80000, day: date = CAME) -> Job:
    """800.00 net agreed, 960.00 with tax."""
    job = make_job(session, at("8:00", day))
    add_quote(session, job, job.opened_at, [("car", "Repair", [("labour", "Repair", net)])], code="vat")
    return job


def tax(session: Session, first: date, last: date) -> SpanTax:
    return get_tax(ShopOn(session, last), first, last)


def november(session: Session) -> tuple[int, int]:
    found = tax(session, nov(1), nov(30))
    return found.basis_minor, found.tax_minor


def december(session: Session) -> tuple[int, int]:
    found = tax(session, dec(1), dec(31))
    return found.basis_minor, found.tax_minor


@pytest.mark.parametrize(
    ("basis", "issued_on", "in_november"),
    [
        ("supply", dec(3), 0),
        ("supply", dec(20), 16000),
        ("invoice", dec(20), 0),
        ("received", dec(3), 0),
    ],
)
def test_work_finished_on_november_28_counts_by_the_basis_that_was_told(
    uk: Session, owner: Actor, basis: str, issued_on: date, in_november: int
) -> None:
    say(uk, owner, basis)
    issue_invoice(on(owner, uk, issued_on), job_of(uk).id, supply_on=nov(28))
    assert november(uk)[1] == in_november
    assert december(uk)[1] == (0 if basis == "received" else 16000 - in_november)


def test_300_on_november_20_count_on_november_20_by_supply(uk: Session, owner: Actor) -> None:
    """Held or taxed at once: 250.00 + 50.00 in November, 550.00 + 110.00 with the invoice of December 3."""
    say(uk, owner, "supply")
    for treatment in ("held", "taxed"):
        job = job_of(uk)
        take_deposit(on(owner, uk, nov(20)), job.id, amount_minor=30000, means="card", treatment=treatment)
        issue_invoice(on(owner, uk, dec(3)), job.id, supply_on=nov(28))
    assert november(uk) == (50000, 10000)
    assert december(uk) == (110000, 22000)
    prove(uk)


def test_by_money_received_each_payment_counts_its_part(uk: Session, owner: Actor) -> None:
    """960.00 with 160.00, paid 300.00 in November and 660.00 in December: 50.00 and 110.00."""
    say(uk, owner, "received")
    job = job_of(uk)
    issue_invoice(on(owner, uk, nov(28)), job.id)
    take_payment(on(owner, uk, nov(29)), job_id=job.id, amount_minor=30000, means="card")
    take_payment(on(owner, uk, dec(4)), job_id=job.id, amount_minor=66000, means="transfer", on=dec(2))
    assert (november(uk), december(uk)) == ((25000, 5000), (55000, 11000))


def test_a_payment_counts_on_its_own_day_though_it_is_entered_later(uk: Session, owner: Actor) -> None:
    say(uk, owner, "received")
    job = job_of(uk)
    issue_invoice(on(owner, uk, nov(28)), job.id)
    take_payment(on(owner, uk, dec(2)), job_id=job.id, amount_minor=96000, means="transfer", on=nov(29))
    assert november(uk) == (80000, 16000)


def test_a_deposit_invoice_counts_when_it_is_paid_and_the_invoice_counts_the_rest(uk: Session, owner: Actor) -> None:
    say(uk, owner, "received")
    job = job_of(uk)
    take_deposit(on(owner, uk, nov(20)), job.id, amount_minor=24000, means="card", treatment="taxed")
    issue_invoice(on(owner, uk, dec(1)), job.id, supply_on=nov(28))
    assert (november(uk), december(uk)) == ((20000, 4000), (0, 0))
    take_payment(on(owner, uk, dec(5)), job_id=job.id, amount_minor=72000, means="card")
    assert december(uk) == (60000, 12000)


def test_a_correction_counts_both_papers_on_the_day_they_are_issued(uk: Session, owner: Actor) -> None:
    """960.00 of November corrected to 912.00 in December: −160.00 + 152.00 there, November stays as it was."""
    for basis in ("supply", "invoice"):
        say(uk, owner, basis)
        before = november(uk), december(uk)
        job = job_of(uk)
        issue_invoice(on(owner, uk, nov(28)), job.id, supply_on=nov(28))
        paper = uk.scalars(select(Invoice).where(Invoice.job_id == job.id)).one()
        correct_invoice(on(owner, uk, dec(10)), paper.id, Right(reason="price", amounts={0: 76000}))
        assert november(uk)[1] - before[0][1] == 16000
        assert december(uk)[1] - before[1][1] == -800


def test_by_money_received_a_correction_moves_as_the_money_moves(uk: Session, owner: Actor) -> None:
    """960.00 paid in November: 160.00. Corrected to 912.00 in December, 48.00 given back: −8.00."""
    say(uk, owner, "received")
    job = job_of(uk)
    issue_invoice(on(owner, uk, nov(28)), job.id)
    take_payment(on(owner, uk, nov(28), "13:00"), job_id=job.id, amount_minor=96000, means="card")
    paper = uk.scalars(select(Invoice)).one()
    correct_invoice(on(owner, uk, dec(10)), paper.id, Right(reason="price", amounts={0: 76000}))
    assert (november(uk), december(uk)) == ((80000, 16000), (-4000, -800))


def test_by_money_received_a_credit_counts_when_it_is_given_back(uk: Session, owner: Actor) -> None:
    """240.00 credited on Nov 29 and kept as credit, given back on Dec 4: −40.00 in December."""
    say(uk, owner, "received")
    job = job_of(uk)
    issue_invoice(on(owner, uk, nov(27)), job.id)
    payment = take_payment(on(owner, uk, nov(28)), job_id=job.id, amount_minor=96000, means="card")
    paper = uk.scalars(select(Invoice)).one()
    credit_invoice(on(owner, uk, nov(29)), paper.id, reason="scratch", amount_minor=24000)
    assert november(uk) == (80000, 16000)
    refund(on(owner, uk, dec(4)), payment.id, amount_minor=24000, means="card", reason="scratch")
    assert (november(uk), december(uk)) == ((80000, 16000), (-20000, -4000))
    prove(uk)


def test_a_returned_cheque_takes_its_tax_back_by_money_received(uk: Session, owner: Actor) -> None:
    say(uk, owner, "received")
    job = job_of(uk)
    issue_invoice(on(owner, uk, nov(27)), job.id)
    payment = take_payment(on(owner, uk, nov(28)), job_id=job.id, amount_minor=96000, means="cheque")
    reverse_payment(on(owner, uk, dec(2)), payment.id, kind="returned_cheque", reason="no funds")
    assert (november(uk), december(uk)) == ((80000, 16000), (-80000, -16000))


def test_a_paper_whose_day_is_closed_keeps_it_and_stands_in_the_first_open_month(uk: Session, owner: Actor) -> None:
    """Done Nov 28; November closed on Dec 5; invoiced Dec 20: the paper says Nov 28, and December has it by itself."""
    say(uk, owner, "supply")
    job = job_of(uk)
    close_month(on(owner, uk, dec(5)), "2026-11", {})
    before = november(uk)
    invoice = issue_invoice(on(owner, uk, dec(20)), job.id, supply_on=nov(28))
    assert (invoice.supply_on, november(uk)) == (nov(28), before)
    found = tax(uk, dec(1), dec(31))
    assert (found.taxed, [(row.number, row.on, row.tax_minor) for row in found.late]) == (
        (),
        [(invoice.number, nov(28), 16000)],
    )
    assert tax(uk, date(2026, 10, 1), dec(31)).tax_minor == 16000


def test_held_money_of_a_closed_month_counts_late_once_it_is_on_an_invoice(uk: Session, owner: Actor) -> None:
    say(uk, owner, "received")
    job = job_of(uk)
    take_deposit(on(owner, uk, nov(20)), job.id, amount_minor=30000, means="card", treatment="held")
    assert tax(uk, nov(1), nov(30)).held_minor == 30000
    close_month(on(owner, uk, dec(5)), "2026-11", {})
    issue_invoice(on(owner, uk, dec(20)), job.id, supply_on=nov(28))
    assert november(uk) == (0, 0)
    late = tax(uk, dec(1), dec(31)).late
    assert [(row.on, row.basis_minor, row.tax_minor) for row in late] == [(nov(20), 25000, 5000)]


def test_where_the_basis_changes_every_sale_counts_once(uk: Session, owner: Actor) -> None:
    """By invoice until December, then by money received: a November invoice paid in December stays in November."""
    say(uk, owner, "invoice")
    old, new = job_of(uk), job_of(uk, 40000)
    issue_invoice(on(owner, uk, nov(28)), old.id, supply_on=nov(28))
    say(uk, owner, "received", dec(1), dec(1))
    take_payment(on(owner, uk, dec(3)), job_id=old.id, amount_minor=96000, means="card")
    issue_invoice(on(owner, uk, dec(4)), new.id, supply_on=dec(4))
    assert (november(uk), december(uk)) == ((80000, 16000), (0, 0))
    take_payment(on(owner, uk, dec(5)), job_id=new.id, amount_minor=48000, means="card")
    assert december(uk) == (40000, 8000)
    assert [str(basis) for basis in tax(uk, nov(1), dec(31)).bases] == ["invoice", "received"]


def test_a_basis_set_later_changes_no_closed_month(uk: Session, owner: Actor) -> None:
    """Issued Dec 20 by invoice, done Nov 28, November closed on Jan 3, by supply from Dec 1 said on Jan 10."""
    job = job_of(uk)
    issue_invoice(on(owner, uk, dec(20)), job.id, supply_on=nov(28))
    close_month(on(owner, uk, date(2027, 1, 3)), "2026-11", {})
    before = november(uk)
    say(uk, owner, "supply", dec(1), date(2027, 1, 10))
    assert november(uk) == before
    assert [row.tax_minor for row in tax(uk, dec(1), dec(31)).late] == [16000]


def test_nothing_is_assumed_until_the_shop_has_said_its_basis(uk: Session, owner: Actor) -> None:
    found = tax(uk, nov(1), nov(30))
    assert (found.is_answered, [str(basis) for basis in found.bases]) == (False, ["invoice"])
    say(uk, owner, "supply")
    assert tax(uk, nov(1), nov(30)).is_answered


def test_what_is_not_taxed_stands_by_kind_of_line_and_all_rows_come_to_the_sales(uk: Session, owner: Actor) -> None:
    job = make_job(uk, at("8:00", nov(19)))
    lines = [("labour", "Repair", 10000), ("sublet", "Wheels", 5000), ("fee", "Disposal", 700)]
    add_quote(uk, job, job.opened_at, [("car", "Repair", lines)], code="")
    issue_invoice(on(owner, uk, nov(28)), job.id, supply_on=nov(28))
    found = tax(uk, nov(1), nov(30))
    assert found.taxed == ()
    assert {row.line_kind: row.basis_minor for row in found.untaxed} == {"labour": 10000, "sublet": 5000, "fee": 700}
    assert found.basis_minor == 15700


def test_months_add_up_to_their_quarter(uk: Session, owner: Actor) -> None:
    for basis in ("supply", "received"):
        say(uk, owner, basis)
        job = job_of(uk)
        take_deposit(on(owner, uk, nov(20)), job.id, amount_minor=30000, means="card", treatment="held")
        issue_invoice(on(owner, uk, dec(20)), job.id, supply_on=nov(28))
        take_payment(on(owner, uk, dec(21)), job_id=job.id, amount_minor=50000, means="card")
    months = [tax(uk, date(2026, 10, 1), date(2026, 10, 31)), tax(uk, nov(1), nov(30)), tax(uk, dec(1), dec(31))]
    whole = tax(uk, date(2026, 10, 1), dec(31))
    assert sum(each.tax_minor for each in months) == whole.tax_minor
    assert sum(each.basis_minor for each in months) == whole.basis_minor


def test_the_number_of_statements_does_not_grow_with_the_papers(uk: Session, owner: Actor) -> None:
    say(uk, owner, "received", nov(1))
    say(uk, owner, "supply", nov(25))

    def statements() -> int:
        counted: list[str] = []
        engine = uk.get_bind()

        def look(*told: object) -> None:
            counted.append(str(told[2]))

        event.listen(engine, "before_cursor_execute", look)
        tax(uk, nov(1), dec(31))
        event.remove(engine, "before_cursor_execute", look)
        return len(counted)

    def bill(day: date) -> None:
        job = job_of(uk)
        issue_invoice(on(owner, uk, day), job.id)
        take_payment(on(owner, uk, day + timedelta(days=2)), job_id=job.id, amount_minor=96000, means="card")

    bill(nov(22))
    bill(nov(28))
    few = statements()
    bill(nov(23))
    bill(nov(29))
    assert statements() == few
    assert uk.scalars(select(Payment)).first() is not None
