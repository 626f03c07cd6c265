"""Customers and vehicles as the desk adds, changes and erases them."""

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.shop import LogLine
from shopbook.queries.customers import find_anything, get_customer
from shopbook.queries.jobs.finding import list_found
from shopbook.services.act import Act
from shopbook.services.customers import add_customer, change_customer, change_vehicle, erase_customer
from shopbook.trade.errors import Conflict, NotFound, RuleBroken
from tests.makers import make_customer, make_vehicle
from tests.makers.jobs import make_job


def test_a_phone_alone_is_enough(session: Session, act: Act) -> None:
    customer = add_customer(act, phone="555-0164")
    assert get_customer(session, customer.id).phone == "555-0164"


def test_neither_name_nor_phone_is_refused_in_a_sentence(act: Act) -> None:
    with pytest.raises(RuleBroken, match="name or a phone"):
        add_customer(act, note="came by")


@pytest.mark.parametrize("typed", ["okafor", "INES oka", "0142", "555 0142", "ktr204", "KTR-204", "004217"])
def test_one_box_finds_by_name_phone_plate_and_vin_end(session: Session, typed: str) -> None:
    customer = make_customer(session)
    vehicle = make_vehicle(session, customer, vin="WZZZZZ1KZ8B004217")
    make_customer(session, "Mia Lindqvist", "555-0177")
    rows = list_found(session, typed)
    assert {row.customer.id for row in rows if row.customer} == {customer.id}
    assert any(row.vehicle is None or row.vehicle.id == vehicle.id for row in rows)


def test_marks_on_letters_do_not_hide_a_name(session: Session) -> None:
    customer = make_customer(session, "Zoë Müller", "")
    assert [hit.customer_id for hit in find_anything(session, "zoe mull")] == [customer.id]


def test_two_words_are_crossed_over_everybody_before_anything_is_cut(session: Session) -> None:
    """Mato Pano is the oldest of 121; sixty begin with Ma, sixty with Pano."""
    meant = make_customer(session, "Mato Pano", "")
    for number in range(60):
        make_customer(session, f"Mara Lind{number}", "")
        make_customer(session, f"Ines Pano{number}", "")
    assert [row.customer.id for row in list_found(session, "Ma Pano") if row.customer] == [meant.id]
    assert [hit.customer_id for hit in find_anything(session, "pano ma")] == [meant.id]


def test_the_newest_of_all_that_match_comes_first(session: Session) -> None:
    """Of sixty called Pano the first to be added has the newest job; of 1,100 keys the last stands last by letters."""
    first = make_customer(session, "Ada Pano", "")
    for _ in range(59):
        make_job(session, customer_id=make_customer(session, "Ines Pano", "").id)
    newest = make_job(session, customer_id=first.id)
    assert [row.job.id for row in list_found(session, "pano") if row.job][:1] == [newest.id]
    people = [make_customer(session, f"Lo {'a' if number < 1100 else 'z'}", "") for number in range(1101)]
    names = [row.customer.name for row in list_found(session, "lo") if row.customer]
    assert (names[0], len(names)) == ("Lo z", 50)
    assert find_anything(session, "l")[0].customer_id == people[-1].id


def test_a_new_plate_is_found_and_the_old_one_is_not(session: Session, act: Act) -> None:
    vehicle = make_vehicle(session, make_customer(session))
    change_vehicle(act, vehicle.id, revision=1, plate="NEW 1")
    assert find_anything(session, "new1")
    assert not find_anything(session, "ktr204")


def test_a_stale_page_is_refused(session: Session, act: Act) -> None:
    customer = make_customer(session)
    change_customer(act, customer.id, revision=1, phone="555-0143")
    with pytest.raises(Conflict):
        change_customer(act, customer.id, revision=1, phone="555-0144")


def test_an_erased_customer_is_gone_and_the_log_never_held_the_name(session: Session, act: Act) -> None:
    customer = make_customer(session)
    erase_customer(act, customer.id)
    with pytest.raises(NotFound):
        get_customer(session, customer.id)
    assert not find_anything(session, "okafor")
    assert not [line for line in session.scalars(select(LogLine)) if "Okafor" in line.words]
