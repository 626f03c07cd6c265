"""Invoices are written from what was agreed and done, numbered without a gap, and mirrored by their credit notes."""

from datetime import date, datetime, timedelta

import pytest
from sqlalchemy import select
from sqlalchemy.exc import DatabaseError
from sqlalchemy.orm import Session

from shopbook.models.customers import Customer
from shopbook.models.money import Invoice, InvoicePayer, MonthClose
from shopbook.models.shop import DatedTaxRate, NumberCounter
from shopbook.queries.money.invoices import get_invoice, list_credits, payer_standings
from shopbook.queries.money.payments import free_of
from shopbook.queries.shop.book import get_book
from shopbook.services.act import Act
from shopbook.services.money.credits import credit_invoice
from shopbook.services.money.deposits import take_deposit
from shopbook.services.money.first_invoice import prepare_first_invoice
from shopbook.services.money.hand_over import hand_over
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.payments import take_payment
from shopbook.trade.errors import Conflict, RuleBroken
from tests.makers import make_customer
from tests.makers.billing import (
    ARCH,
    BUMPER,
    DOOR,
    QUARTER,
    add_quote,
    make_agreed_job,
    make_job,
    name_payer,
    prove,
    say_pays,
    set_tax,
)


def shares(session: Session, invoice: Invoice) -> list[int]:
    rows = session.scalars(select(InvoicePayer).where(InvoicePayer.invoice_id == invoice.id).order_by(InvoicePayer.id))
    return [row.share_minor for row in rows]


def test_the_invoice_holds_what_was_taken_and_the_extra_and_lists_what_was_left(
    session: Session, now: datetime, act: Act
) -> None:
    invoice = get_invoice(session, issue_invoice(act, make_agreed_job(session, now).id).id)
    assert (invoice.net_minor, invoice.tax_minor, invoice.gross_minor) == (80300, 2316, 82616)
    assert [(tax.basis_minor, tax.tax_minor) for tax in invoice.taxes] == [(51350, 0), (28950, 2316)]
    frozen = invoice.frozen
    assert frozen["not_done"] == ["3 · Rear bumper corner, scuff to the plastic"]
    assert [group["title"] for group in frozen["groups"]][-1] == "Extra work · Behind the wheel arch"
    assert "by text message" in frozen["groups"][-1]["below"]
    prove(session)


def test_the_excess_comes_off_the_sum_with_tax_and_the_insurer_pays_the_rest(
    session: Session, now: datetime, act: Act
) -> None:
    job = make_agreed_job(session, now)
    insurer = make_customer(session, "Meadow Insurance", "", kind="insurer", pays_within_days=30)
    assert job.customer_id is not None
    name_payer(session, job, session.get_one(Customer, job.customer_id), "excess", 25000)
    name_payer(session, job, insurer, "rest", reference="claim 77-20418")
    say_pays(session, job, insurer, 53504, now)
    say_pays(session, job, insurer, 4112, now, "extra")
    invoice = issue_invoice(act, job.id)
    assert shares(session, invoice) == [25000, 57616]
    assert invoice.frozen["payers"][1]["name"] == "Meadow Insurance, claim 77-20418"
    assert invoice.customer_id == job.customer_id
    prove(session)


def test_a_registered_owner_pays_the_excess_and_all_the_tax(session: Session, now: datetime, act: Act) -> None:
    """HMRC VIT13500: the repair is supplied to the owner, who deducts the tax; the insurer pays net less excess."""
    set_tax(session, "vat", "VAT", 20000, ["labour", "materials"], date(2026, 1, 1), now)
    person = make_customer(session, "Rowan Builders", is_tax_registered=True)
    insurer = make_customer(session, "Meadow Insurance", "", kind="insurer")
    job = make_job(session, now, person)
    add_quote(session, job, job.opened_at, [("car", "Repair", [("labour", "Repair", 100000)])], code="vat")
    name_payer(session, job, person, "excess_and_tax", 10000)
    name_payer(session, job, insurer, "rest")
    say_pays(session, job, insurer, 90000, now)
    assert shares(session, issue_invoice(act, job.id)) == [30000, 90000]


def test_a_second_invoice_of_a_job_is_refused_until_the_first_is_credited(
    session: Session, now: datetime, act: Act
) -> None:
    job = make_agreed_job(session, now)
    first = issue_invoice(act, job.id)
    with pytest.raises(Conflict, match="bills everything approved"):
        issue_invoice(act, job.id)
    credit_invoice(act, first.id, reason="wrong address")
    second = issue_invoice(act, job.id)
    assert (first.number, second.number) == (1, 2)
    prove(session)


def test_nothing_is_invoiced_without_a_yes(session: Session, now: datetime, act: Act) -> None:
    job = make_job(session, now)
    add_quote(session, job, job.opened_at, [QUARTER], has_yes=False)
    with pytest.raises(RuleBroken, match="Save the approval first"):
        issue_invoice(act, job.id)
    assert session.get(NumberCounter, ("invoice", 0)) is None


def test_an_extra_without_a_yes_stays_off_the_invoice(session: Session, now: datetime, act: Act) -> None:
    job = make_job(session, now)
    add_quote(session, job, job.opened_at, [QUARTER])
    add_quote(session, job, now, [ARCH], kind="extra", has_yes=False)
    assert issue_invoice(act, job.id).net_minor == 62300


def test_the_tax_is_that_of_the_day_of_supply(session: Session, now: datetime, act: Act) -> None:
    set_tax(session, "sales", "Sales tax", 10000, ["materials"], date(2026, 11, 5), now)
    job = make_agreed_job(session, now)
    early = issue_invoice(act, job.id, supply_on=date(2026, 11, 4))
    assert early.tax_minor == 2316
    credit_invoice(act, early.id, reason="finished a day later")
    assert issue_invoice(act, job.id, supply_on=date(2026, 11, 5)).tax_minor == 2895


def test_guessed_rates_of_tax_must_be_confirmed_first(session: Session, now: datetime, act: Act) -> None:
    session.add(
        DatedTaxRate(
            code="sales",
            name="Sales tax",
            rate_thousandths=8000,
            line_kinds=["materials"],
            from_on=date(2026, 1, 2),
            at=now,
        )
    )
    with pytest.raises(RuleBroken, match="Confirm your tax rates"):
        issue_invoice(act, make_agreed_job(session, now).id)


@pytest.mark.parametrize(
    ("day", "sentence"), [(date(2026, 11, 6), "today or an earlier day"), (date(2026, 10, 1), "opened")]
)
def test_a_day_of_supply_that_cannot_be_is_refused(
    session: Session, now: datetime, act: Act, day: date, sentence: str
) -> None:
    with pytest.raises(RuleBroken, match=sentence):
        issue_invoice(act, make_agreed_job(session, now).id, supply_on=day)


def test_a_day_of_supply_may_lie_in_a_closed_month_and_the_paper_says_it(
    session: Session, now: datetime, act: Act
) -> None:
    told, ready = make_agreed_job(session, now), make_agreed_job(session, now)
    ready.ready_at = now - timedelta(days=2)
    session.add(MonthClose(month="2026-11", through_on=date(2026, 11, 3), at=now))
    session.flush()
    assert issue_invoice(act, told.id, supply_on=date(2026, 11, 3)).supply_on == date(2026, 11, 3)
    assert issue_invoice(act, ready.id).supply_on == date(2026, 11, 3)


def test_a_whole_discount_is_spread_over_the_kinds_of_tax(session: Session, now: datetime, act: Act) -> None:
    job = make_job(session, now)
    lines = [("labour", "Work", 60000), ("materials", "Materials", 40000)]
    add_quote(session, job, job.opened_at, [("car", "Repair", lines)], discount_minor=10000)
    invoice = get_invoice(session, issue_invoice(act, job.id).id)
    assert {tax.code: tax.basis_minor for tax in invoice.taxes} == {"none": 54000, "sales": 36000}
    assert invoice.gross_minor == 90000 + 2880
    prove(session)


def test_a_price_with_its_tax_inside_comes_out_to_the_cent(session: Session, now: datetime, act: Act) -> None:
    job = make_job(session, now)
    add_quote(session, job, job.opened_at, [("car", "Repair", [("materials", "All in", 9999)])], has_tax_inside=True)
    add_quote(session, job, now, [("car", "More", [("materials", "More", 1000)])], kind="extra")
    invoice = issue_invoice(act, job.id)
    assert invoice.gross_minor == 9999 + 1080
    prove(session)


def test_credits_by_line_and_by_sum_mirror_the_invoice_to_the_cent(session: Session, now: datetime, act: Act) -> None:
    job = make_agreed_job(session, now)
    invoice = issue_invoice(act, job.id)
    credit_invoice(act, invoice.id, reason="lamp not refitted", places=[0])
    credit_invoice(act, invoice.id, reason="goodwill", amount_minor=3333)
    credit_invoice(act, invoice.id, reason="all of it")
    credits = list_credits(session, invoice.id)
    assert [credit.number for credit in credits] == [1, 2, 3]
    assert sum(credit.net_minor for credit in credits) == -invoice.net_minor
    assert sum(credit.tax_minor for credit in credits) == -invoice.tax_minor
    with pytest.raises(RuleBroken, match="credited in full"):
        credit_invoice(act, invoice.id, reason="once more")
    prove(session)


def test_a_credit_frees_money_that_is_too_much_and_it_stays_on_account(
    session: Session, now: datetime, act: Act
) -> None:
    job = make_agreed_job(session, now)
    invoice = issue_invoice(act, job.id)
    payment = take_payment(act, job_id=job.id, amount_minor=82616, means="card")
    credit_invoice(act, invoice.id, reason="goodwill", amount_minor=2616)
    assert free_of(session, payment.id) == 2616
    assert payer_standings(session, [invoice.id])[invoice.id][0].owed_minor == 0
    prove(session)


def test_issued_papers_cannot_be_changed(session: Session, now: datetime, act: Act) -> None:
    invoice = issue_invoice(act, make_agreed_job(session, now).id)
    invoice.gross_minor += 1
    invoice.net_minor += 1
    with pytest.raises(DatabaseError, match="append-only"):
        session.flush()


def test_numbers_go_on_where_the_old_ones_ended(session: Session, now: datetime, act: Act) -> None:
    prepare_first_invoice(act, last_number=2317, tax_number="12-3456789", address="1 Mill Yard")
    invoice = issue_invoice(act, make_agreed_job(session, now).id)
    assert invoice.number == 2318
    assert "12-3456789" in str(invoice.frozen)
    assert "1 Mill Yard" in str(invoice.frozen)
    with pytest.raises(RuleBroken, match="2318 is already used"):
        prepare_first_invoice(act, last_number=2000, tax_number="")


def test_a_shop_whose_state_certifies_invoices_marks_its_papers(session: Session, now: datetime, act: Act) -> None:
    get_book(session).is_tax_invoice = False
    invoice = issue_invoice(act, make_agreed_job(session, now).id)
    assert invoice.frozen["is_tax_invoice"] is False


def test_lines_of_one_payer_go_to_that_payer(session: Session, now: datetime, act: Act) -> None:
    job = make_job(session, now)
    add_quote(session, job, job.opened_at, [DOOR, BUMPER])
    other = make_customer(session, "Harlow Road Cars", "")
    name_payer(session, job, other, "lines", group_keys="rear_bumper")
    name_payer(session, job, session.get_one(Customer, job.customer_id or 0), "rest")
    say_pays(session, job, other, 21000, now)
    assert shares(session, issue_invoice(act, job.id)) == [21000, 14496]


def test_the_sample_job_gets_no_number(session: Session, now: datetime, act: Act) -> None:
    with pytest.raises(RuleBroken, match="a sample job"):
        issue_invoice(act, make_agreed_job(session, now, is_sample=True).id)


def test_a_car_without_a_known_owner_is_invoiced_paid_and_handed_over(
    session: Session, now: datetime, act: Act
) -> None:
    job = make_agreed_job(session, now, customer_id=None)
    invoice = issue_invoice(act, job.id)
    assert invoice.frozen["to"] == "Customer"
    take_payment(act, job_id=job.id, amount_minor=82616, means="cash")
    assert payer_standings(session, [invoice.id])[invoice.id][0].owed_minor == 0
    hand_over(act, job.id)
    assert job.settled_at is not None
    prove(session)


def test_a_credit_note_gives_the_insurer_back_what_the_insurer_paid_and_leaves_the_excess(
    session: Session, now: datetime, act: Act
) -> None:
    person = make_customer(session, "Ida Lund")
    insurer = make_customer(session, "Meadow Insurance", "", kind="insurer")
    job = make_job(session, now, person)
    add_quote(session, job, job.opened_at, [QUARTER])
    name_payer(session, job, person, "excess", 50000)
    name_payer(session, job, insurer, "rest")
    say_pays(session, job, insurer, 14008, now)
    invoice = issue_invoice(act, job.id)
    assert shares(session, invoice) == [50000, 14008]
    assert shares(session, credit_invoice(act, invoice.id, reason="dearer paint", amount_minor=5000)) == [-5000]
    assert [row.share_minor for row in payer_standings(session, [invoice.id])[invoice.id]] == [50000, 9008]
    prove(session)


@pytest.mark.parametrize(("deposit", "words"), [(64008, "after its deposit"), (30000, "deposit")])
def test_lines_worth_more_than_the_deposit_left_of_an_invoice_are_not_credited(
    session: Session, now: datetime, act: Act, deposit: int, words: str
) -> None:
    job = make_job(session, now)
    add_quote(session, job, job.opened_at, [QUARTER])
    take_deposit(act, job.id, amount_minor=deposit, means="card", treatment="taxed")
    invoice = issue_invoice(act, job.id)
    with pytest.raises(RuleBroken, match=words):
        credit_invoice(act, invoice.id, reason="scratched again", places=[0, 1])
