"""Customers and vehicles come and change; their search keys follow; a customer is erased on request."""

from collections.abc import Iterable
from typing import Any

from sqlalchemy import delete
from sqlalchemy.orm import Session

from shopbook.models.customers import Customer, SearchKey, Vehicle
from shopbook.queries.customers import find_other_of_plate, get_customer, get_vehicle, list_merged
from shopbook.services.act import Act
from shopbook.services.postings import is_changed, write_log
from shopbook.services.shop.acts import forget_all_rows
from shopbook.trade.car.words import spoken_car
from shopbook.trade.customer_kinds import CustomerKind
from shopbook.trade.errors import Conflict, RuleBroken
from shopbook.trade.search_keys import car_keys, name_keys, phone_keys, plate_key, vin_keys

CHANGED_MEANWHILE = "Someone else changed this in the meantime. Check what is there now, then make your change again."
CUSTOMER_WORDS = ("name", "printed_name", "phone", "mail", "address", "tax_number", "note")
VEHICLE_WORDS = ("plate", "vin", "description", "colour_name", "colour_code", "colour_hex", "finish", "hue", "note")


def add_customer(
    act: Act,
    *,
    kind: str = CustomerKind.PRIVATE,
    is_tax_registered: bool = False,
    pays_within_days: int = 0,
    exemption: dict[str, Any] | None = None,
    **words: str,
) -> Customer:
    """A new customer; `words` are those of CUSTOMER_WORDS. A name or a phone is enough.

    RuleBroken when there is neither.
    """
    customer = Customer(
        kind=CustomerKind(kind),
        is_tax_registered=is_tax_registered,
        pays_within_days=pays_within_days,
        exemption=exemption or {},
        created_at=act.moment,
        **{word: words.pop(word, "") for word in CUSTOMER_WORDS},
    )
    _refuse_left_over(words)
    _want_name_or_phone(customer)
    act.session.add(customer)
    act.session.flush()
    _write_customer_keys(act.session, customer)
    write_log(act, "add_customer", "customer", customer.id, "Added a customer")
    return customer


def change_customer(act: Act, customer_id: int, *, revision: int, **values: Any) -> Customer:
    """Change what is known of a customer; Conflict when somebody else did so since."""
    customer = get_customer(act.session, customer_id)
    if customer.revision != revision:
        raise Conflict(CHANGED_MEANWHILE)
    for name, value in values.items():
        setattr(customer, name, value)
    _want_name_or_phone(customer)
    if not is_changed(act, customer):
        return customer
    customer.revision += 1
    _write_customer_keys(act.session, customer)
    write_log(act, "change_customer", "customer", customer.id, "Changed a customer")
    return customer


def keep_printed_name(act: Act, customer_id: int | None, name: str) -> None:
    """What papers call a customer from now on, typed when one was issued; nothing changes where nothing was typed."""
    customer = get_customer(act.session, customer_id) if customer_id is not None and name.strip() else None
    if customer is not None and customer.printed_name != name.strip():
        customer.printed_name, customer.revision = name.strip(), customer.revision + 1
        _write_customer_keys(act.session, customer)
        write_log(act, "change_customer", "customer", customer.id, "Set a customer’s printed name")


def erase_customer(act: Act, customer_id: int) -> None:
    """Erase a person on request; papers that the law requires stay as issued.

    Who was merged into this customer is the same person, and goes with it.
    """
    customer = get_customer(act.session, customer_id)
    forget_all_rows(act.session)
    for row in (*list_merged(act.session, customer.id), customer):
        for word in CUSTOMER_WORDS:
            setattr(row, word, "")
        row.exemption = {}
        row.name, row.erased_at, row.revision = "erased on request", act.moment, row.revision + 1
        act.session.execute(delete(SearchKey).where(SearchKey.customer_id == row.id, SearchKey.vehicle_id.is_(None)))
        write_log(act, "erase_customer", "customer", row.id, "Erased a customer on request")


def add_vehicle(
    act: Act,
    *,
    customer_id: int | None,
    year: int | None = None,
    is_high_voltage: bool = False,
    has_driver_aids: bool = False,
    **words: str,
) -> Vehicle:
    """A new vehicle; `words` are plate, vin, description, colour_name, colour_code, colour_hex, finish, hue, note.

    RuleBroken when neither a plate, a VIN nor a description says which car it is.
    """
    vehicle = Vehicle(
        customer_id=customer_id,
        year=year,
        is_high_voltage=is_high_voltage,
        has_driver_aids=has_driver_aids,
        created_at=act.moment,
        **{word: words.pop(word, "") for word in VEHICLE_WORDS},
    )
    _refuse_left_over(words)
    _want_some_mark(vehicle)
    act.session.add(vehicle)
    act.session.flush()
    _write_vehicle_keys(act.session, vehicle)
    write_log(act, "add_vehicle", "vehicle", vehicle.id, "Added a vehicle")
    return vehicle


def change_vehicle(act: Act, vehicle_id: int, *, revision: int, **values: Any) -> Vehicle:
    """Change what is known of a vehicle, its customer too; Conflict when somebody else did so since."""
    vehicle = get_vehicle(act.session, vehicle_id)
    if vehicle.revision != revision:
        raise Conflict(CHANGED_MEANWHILE)
    for name, value in values.items():
        setattr(vehicle, name, value)
    _want_some_mark(vehicle)
    if not is_changed(act, vehicle):
        return vehicle
    vehicle.revision += 1
    _write_vehicle_keys(act.session, vehicle)
    write_log(act, "change_vehicle", "vehicle", vehicle.id, "Changed a vehicle")
    return vehicle


def ask_about_plate(session: Session, plate: str, *, besides: int | None = None) -> None:
    """RuleBroken (same_car), as a question where a person can answer it, for a plate that another car of the book has.

    "This plate belongs to Rena Kolb’s grey wagon: same car?"
    """
    other = find_other_of_plate(session, plate, besides)
    if other is None:
        return
    car = spoken_car(other.colour_name, other.description)
    owner = other.customer if other.customer is not None and other.customer.erased_at is None else None
    name = owner.called if owner else ""
    whose = f"{name}’s {car}" if name else f"a {car} in the book"
    raise RuleBroken(f"This plate belongs to {whose}: same car?", "same_car")


def give_customer(act: Act, vehicle_id: int, customer_id: int) -> Vehicle:
    """A car without a customer is this customer's from now on; one that has a customer keeps it."""
    vehicle = get_vehicle(act.session, vehicle_id)
    if vehicle.customer_id is None:
        change_vehicle(act, vehicle_id, revision=vehicle.revision, customer_id=customer_id)
    return vehicle


def _refuse_left_over(words: dict[str, str]) -> None:
    if words:
        raise TypeError(f"unknown fields: {sorted(words)}")


def _want_name_or_phone(customer: Customer) -> None:
    if not customer.name.strip() and not customer.phone.strip():
        raise RuleBroken("Enter a name or a phone number. One is enough.", "name")


def _want_some_mark(vehicle: Vehicle) -> None:
    if not any(mark.strip() for mark in (vehicle.plate, vehicle.vin, vehicle.description)):
        raise RuleBroken("Enter the {registration}, or describe the car.", "plate")


def _write_customer_keys(session: Session, customer: Customer) -> None:
    session.execute(
        delete(SearchKey).where(SearchKey.customer_id == customer.id, SearchKey.kind.in_(("name", "phone")))
    )
    _add_keys(session, "name", name_keys(f"{customer.name} {customer.printed_name}"), customer_id=customer.id)
    _add_keys(session, "phone", phone_keys(customer.phone), customer_id=customer.id)


def _write_vehicle_keys(session: Session, vehicle: Vehicle) -> None:
    session.execute(
        delete(SearchKey).where(SearchKey.vehicle_id == vehicle.id, SearchKey.kind.in_(("plate", "vin", "car")))
    )
    plate = plate_key(vehicle.plate)
    owner = {"vehicle_id": vehicle.id, "customer_id": vehicle.customer_id}
    _add_keys(session, "plate", [plate] if plate else [], **owner)
    _add_keys(session, "vin", vin_keys(vehicle.vin), **owner)
    _add_keys(session, "car", car_keys(vehicle.description, vehicle.colour_name), **owner)


def _add_keys(session: Session, kind: str, keys: Iterable[str], **owner: int | None) -> None:
    session.add_all(SearchKey(kind=kind, key=key[:200], **owner) for key in keys)
    session.flush()
