"""Two customers are merged: everything reads through the pointer, papers keep their name, and parting undoes it."""

from datetime import datetime, timedelta

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.customers import Customer
from shopbook.models.jobs import Job
from shopbook.models.money import Invoice, InvoicePayer, Payment
from shopbook.queries.customers import find_by_phone, get_customer, get_vehicle, list_customers, list_namesakes
from shopbook.queries.jobs.finding import list_found, list_visits
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.money.owed import job_stands, list_on_account, list_owed, owed_ageing_by_payer
from shopbook.queries.money.payers import payer_names, payers_of
from shopbook.queries.money.quotes import list_quotes
from shopbook.services.act import Act
from shopbook.services.customers import ask_about_plate, erase_customer
from shopbook.services.money.approvals import agree_quote
from shopbook.services.money.changed_customer import change_customer_of_job
from shopbook.services.money.deposits import take_deposit
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.merging import merge_customers, part_customer
from shopbook.services.money.payments import take_payment
from shopbook.trade.errors import Conflict, NotFound, RuleBroken
from tests.asking import risk_of_job
from tests.makers.billing import add_quote, make_job, name_payer, prove
from tests.makers.customers import make_customer, make_vehicle
from tests.makers.insured import UNTAXED, Insured


@pytest.fixture
def ines(session: Session) -> Customer:
    return make_customer(session, "Ines Okafor", "555-0142", pays_within_days=14)


@pytest.fixture
def again(session: Session) -> Customer:
    """The same person, written down a second time."""
    return make_customer(session, "I. Okafor", "555-0188")


def invoiced(session: Session, act: Act, customer: Customer, minor: int) -> Job:
    job = make_job(session, act.moment, customer)
    add_quote(session, job, job.opened_at, [("car", "Repair", [("labour", "Repair", minor)])])
    issue_invoice(act, job.id)
    return job


def owed(session: Session, act: Act) -> list[tuple[str, int]]:
    rows = owed_ageing_by_payer(list_owed(session), list_on_account(session), act.day)
    return sorted((name, ageing.total_minor) for name, ageing in rows)


def test_two_accounts_are_one_and_parted_they_are_two_again(
    session: Session, act: Act, ines: Customer, again: Customer
) -> None:
    """200.00 and 300.00 are 500.00; parted 200.00 and 300.00."""
    invoiced(session, act, ines, 20_000)
    second = invoiced(session, act, again, 30_000)
    assert owed(session, act) == [("I. Okafor", 30_000), ("Ines Okafor", 20_000)]
    merge_customers(act, ines.id, again.id)
    assert owed(session, act) == [("Ines Okafor", 50_000)]
    paper = session.scalars(select(Invoice).where(Invoice.job_id == second.id)).one()
    assert paper.frozen["to"] == "I. Okafor"
    part_customer(act, again.id)
    assert owed(session, act) == [("I. Okafor", 30_000), ("Ines Okafor", 20_000)]
    prove(session)


def test_lists_jobs_cars_and_search_read_through_the_pointer(
    session: Session, act: Act, ines: Customer, again: Customer
) -> None:
    job = make_job(session, act.moment, again)
    merge_customers(act, ines.id, again.id)
    assert [row.name for row in list_customers(session)] == ["Ines Okafor"]
    found = get_customer(session, again.id)
    assert (found.id, [car.id for car in found.vehicles]) == (ines.id, [job.vehicle_id])
    assert get_job_by_id(session, job.id).customer == found
    assert get_vehicle(session, job.vehicle_id or 0).customer == found
    assert [visit.id for visit in list_visits(session, customer_id=ines.id)] == [job.id]
    assert find_by_phone(session, "555-0188") == found
    assert [row.id for row in list_namesakes(session, ["okafor"])] == [ines.id]
    for typed in ("i okafor", "ines", "5550188", "ktr204"):
        rows = list_found(session, typed)
        assert {row.customer.id for row in rows if row.customer} == {ines.id}, typed
        assert [row.job.id for row in rows if row.job] == [job.id], typed
    assert payer_names(session, {again.id}) == {again.id: "Ines Okafor"}


def test_the_terms_are_the_firsts(session: Session, act: Act, ines: Customer, again: Customer) -> None:
    merge_customers(act, ines.id, again.id)
    job = invoiced(session, act, again, 30_000)
    paper = session.scalars(select(Invoice).where(Invoice.job_id == job.id)).one()
    assert paper.due_on == act.day + timedelta(days=14)
    assert paper.frozen["to"] == "Ines Okafor"


def test_what_is_written_while_merged_is_the_seconds_after_parting(
    session: Session, act: Act, ines: Customer, again: Customer
) -> None:
    """A deposit of 50.00 from before, an invoice of 300.00 and a payment of 250.00 from while they were one."""
    job = make_job(session, act.moment, again)
    add_quote(session, job, job.opened_at, [("car", "Repair", [("labour", "Repair", 30_000)])])
    take_deposit(act, job.id, amount_minor=5_000, means="cash", treatment="held")
    merge_customers(act, ines.id, again.id)
    issue_invoice(act, job.id)
    assert job_stands(session, [job.id], act.day)[job.id].owed_minor == 25_000
    take_payment(act, job_id=job.id, amount_minor=25_000, means="card", customer_id=ines.id)
    assert job_stands(session, [job.id], act.day)[job.id].owed_minor == 0
    assert set(session.scalars(select(Payment.customer_id))) == {again.id}
    assert session.scalars(select(InvoicePayer.customer_id)).all() == [again.id]
    part_customer(act, again.id)
    assert job_stands(session, [job.id], act.day)[job.id].owed_minor == 0
    assert owed(session, act) == []
    prove(session)


def test_an_insurer_written_down_twice_is_one_payer(session: Session, act: Act, now: datetime) -> None:
    """Approved under the second's name, named again under the first's: at risk 0, billed 1,314.95 and nothing held."""
    insured = Insured(session, now)
    insured.work(UNTAXED)
    insured.approves(131_495)
    first = make_customer(session, "Meadow Insurance Group", "", kind="insurer")
    merge_customers(act, first.id, insured.insurer.id)
    assert risk_of_job(session, insured.job.id) == 0
    assert [payer.name for payer in payers_of(session, insured.job)] == ["Thea Marsh", "Meadow Insurance Group"]
    assert insured.invoice(act.actor) == (181_495, 50_000, 131_495)
    take_payment(act, job_id=insured.job.id, amount_minor=131_495, means="transfer", customer_id=first.id)
    stands = insured.stands()
    assert [(row.name, row.owed_minor) for row in stands.owing] == [("Thea Marsh", 50_000)]
    part_customer(act, insured.insurer.id)
    assert insured.stands().owed_minor == 50_000
    prove(session)


def test_an_extra_is_approved_under_the_firsts_name_on_the_seconds_job(
    session: Session, act: Act, now: datetime
) -> None:
    insured = Insured(session, now)
    insured.work(UNTAXED)
    insured.approves(131_495)
    first = make_customer(session, "Meadow Insurance Group", "", kind="insurer")
    merge_customers(act, first.id, insured.insurer.id)
    insured.work(("behind", "Rust", [("labour", "Weld", 9_750)]), kind="extra")
    assert risk_of_job(session, insured.job.id) == 9_750
    quote_id = list_quotes(session, insured.job.id)[0].id
    given = {"means": "mail", "said_by": "Claims desk", "amount_minor": 9_750, "customer_id": first.id}
    agree_quote(act, quote_id, party="payer", **given)
    assert risk_of_job(session, insured.job.id) == 0


def test_both_on_one_job_are_refused(session: Session, act: Act, ines: Customer, again: Customer) -> None:
    job = make_job(session, act.moment, ines)
    name_payer(session, job, ines, "excess", 10_000)
    name_payer(session, job, again, "rest")
    with pytest.raises(RuleBroken, match=f"Both are on job {job.number}"):
        merge_customers(act, ines.id, again.id)
    with pytest.raises(RuleBroken, match="Both are on job"):
        merge_customers(act, again.id, ines.id)


def test_one_as_customer_and_the_other_as_the_only_payer_are_refused(
    session: Session, act: Act, ines: Customer, again: Customer
) -> None:
    job = make_job(session, act.moment, ines)
    name_payer(session, job, again, "rest")
    with pytest.raises(RuleBroken, match="Both are on job"):
        merge_customers(act, ines.id, again.id)


def test_those_merged_into_the_second_point_at_the_first_too(
    session: Session, act: Act, ines: Customer, again: Customer
) -> None:
    third = make_customer(session, "Okafor, Ines", "")
    merge_customers(act, again.id, third.id)
    merge_customers(act, ines.id, again.id)
    assert {row.merged_into_id for row in (again, third)} == {ines.id}
    part_customer(act, again.id)
    assert get_customer(session, third.id).id == ines.id
    assert get_customer(session, again.id).id == again.id


def test_itself_twice_and_nobody_are_refused(session: Session, act: Act, ines: Customer, again: Customer) -> None:
    with pytest.raises(RuleBroken, match="That is this customer"):
        merge_customers(act, ines.id, ines.id)
    with pytest.raises(NotFound):
        merge_customers(act, ines.id, 99)
    merge_customers(act, ines.id, again.id)
    with pytest.raises(Conflict):
        merge_customers(act, ines.id, again.id)
    part_customer(act, again.id)
    with pytest.raises(Conflict):
        part_customer(act, again.id)


def test_erasing_the_first_erases_who_was_merged_into_it(
    session: Session, act: Act, ines: Customer, again: Customer
) -> None:
    merge_customers(act, ines.id, again.id)
    erase_customer(act, ines.id)
    assert {row.name for row in session.scalars(select(Customer))} == {"erased on request"}
    assert list_found(session, "okafor") == []


def test_a_merged_customers_job_is_given_to_another(
    session: Session, act: Act, ines: Customer, again: Customer
) -> None:
    job = make_job(session, act.moment, again)
    add_quote(session, job, job.opened_at, [("car", "Repair", [("labour", "Repair", 30_000)])])
    take_deposit(act, job.id, amount_minor=5_000, means="cash", treatment="held")
    merge_customers(act, ines.id, again.id)
    with pytest.raises(RuleBroken, match="has the job already"):
        change_customer_of_job(act, job.id, revision=job.revision, customer_id=ines.id)
    thea = make_customer(session, "Thea Lund", "555-0172")
    changed = change_customer_of_job(act, job.id, revision=job.revision, customer_id=thea.id)
    assert changed.vehicle is not None
    assert changed.vehicle.customer_id == thea.id
    assert job_stands(session, [job.id], act.day)[job.id].owed_minor == 25_000


def test_a_plate_that_another_car_has_is_asked_about(session: Session) -> None:
    rena = make_customer(session, "Rena Kolb", "555-0164")
    wagon = make_vehicle(session, rena, plate="NQ 77 KD", colour_name="grey", description="wagon")
    with pytest.raises(RuleBroken, match=r"This plate belongs to Rena Kolb’s grey wagon: same car\?") as asked:
        ask_about_plate(session, "nq77kd")
    assert asked.value.field == "same_car"
    ask_about_plate(session, "nq77kd", besides=wagon.id)
    ask_about_plate(session, "")
    make_vehicle(session, None, plate="T 1", colour_name="", description="")
    with pytest.raises(RuleBroken, match=r"a car in the book: same car\?"):
        ask_about_plate(session, "t1")
