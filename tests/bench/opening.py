"""The first day of a book to measure on: its shop, people, firms, suppliers and prices."""

from datetime import datetime

from sqlalchemy.orm import Session

from seed_demo import PRICES, SUPPLIERS
from shopbook.commands.demo.desk import INSURER
from shopbook.commands.demo.frame import DemoPerson
from shopbook.queries.shelf.materials import list_materials
from shopbook.queries.shop.people import find_person_named
from shopbook.queries.shop.rates import FROM_THE_FIRST
from shopbook.services.act import Act
from shopbook.services.customers import add_customer
from shopbook.services.shelf.materials import add_supplier, change_material
from shopbook.services.shop.people import add_person, set_cost
from shopbook.services.shop.start import FirstAnswers, start_book
from shopbook.services.shop.taxes import answer_sales_tax
from shopbook.trade.billing.sales_tax import GoodsTaxed, LabourTaxed, SalesTaxAnswers
from shopbook.trade.catalogue.kinds import WayUsed
from shopbook.trade.measures.quantities import Unit
from shopbook.trade.permissions import THE_PROGRAM
from tests.bench.shop import people_for

ZONE = "America/Phoenix"
"""Its clocks never change, so that a moment of one stretch is the same time of day in every other."""
_TAX = SalesTaxAnswers(8000, "", LabourTaxed.NO, GoodsTaxed.TO_CUSTOMER, is_priced_apart=True)
_FIRMS = ((INSURER, "insurer"), ("Millpond Motors", "dealer"), ("Green Lane Couriers", "fleet"))


def open_shop(session: Session, moment: datetime, jobs: int) -> None:
    """Start the book of a shop that does so many jobs in four weeks."""
    act = Act(session, THE_PROGRAM, moment)
    owner, *others = people_for(jobs)
    # Nobody signs in with a password: `tests.clients` puts a sign-in into the book itself.
    start_book(act, FirstAnswers("us", "Quarry Lane Dent and Paint", 7800, owner.name, "no password", ZONE))
    answer_sales_tax(act, _TAX)
    for one in others:
        _settle(act, one)
    for name, kind in _FIRMS:
        add_customer(act, name=name, kind=kind, pays_within_days=30, phone="555-0170", mail="")
    _price(act)


def _settle(act: Act, one: DemoPerson) -> None:
    add_person(act, name=one.name, roles=one.roles, skills=one.skills)
    person = find_person_named(act.session, one.name)
    if person is not None:
        set_cost(act, person.id, one.cost_minor, FROM_THE_FIRST)


def _price(act: Act) -> None:
    """Every material at the demo's price; what is counted in pieces is written down piece by piece in this shop."""
    suppliers = [add_supplier(act, name=name, lead_days=2) for name in SUPPLIERS]
    prices = {
        role: (int(price), int(whose))
        for role, price, _, whose in map(str.split, PRICES.replace("|", "\n").split("\n")[1:-1])
    }
    for material in list_materials(act.session, is_everything=True):
        price, whose = prices.get(material.role, (2500, 0))
        way = WayUsed.PIECE if material.unit == Unit.PIECE else material.way
        given = {"pack_price_minor": price, "supplier_id": suppliers[whose].id, "way": way}
        change_material(act, material.id, revision=material.revision, **given)
