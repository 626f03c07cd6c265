"""Makers of customers and vehicles."""

from typing import Any

from sqlalchemy.orm import Session

from shopbook.models.customers import Customer, Vehicle
from shopbook.services.act import Act
from shopbook.services.customers import add_customer, add_vehicle
from shopbook.trade.permissions import THE_PROGRAM
from tests.makers.shop import STARTED


def make_customer(session: Session, name: str = "Ines Okafor", phone: str = "555-0142", **given: Any) -> Customer:
    """A customer who pays for herself."""
    return add_customer(Act(session, THE_PROGRAM, STARTED), name=name, phone=phone, **given)


def make_vehicle(session: Session, customer: Customer | None = None, **given: Any) -> Vehicle:
    """A blue hatchback of that customer."""
    defaults: dict[str, Any] = {
        "plate": "KTR 204",
        "year": 2017,
        "description": "hatchback",
        "colour_name": "harbour blue",
        "colour_hex": "#2f5f9b",
        "finish": "metallic",
    }
    owner_id = customer.id if customer else None
    return add_vehicle(Act(session, THE_PROGRAM, STARTED), customer_id=owner_id, **(defaults | given))
