"""Two customers that are one person are merged, and parted again."""

from collections.abc import Mapping

from flask import request, url_for
from sqlalchemy.orm import Session

from shopbook.queries.customers import get_customer, list_merged
from shopbook.services.act import Act
from shopbook.services.money.merging import merge_customers, part_customer
from shopbook.trade.errors import RuleBroken
from shopbook.web.customers.routes import blueprint
from shopbook.web.parts.act import Answer, Done, act_by_form, reader
from shopbook.web.parts.guards import needs
from shopbook.web.parts.people import SomebodyForm, only_known, people_offered
from shopbook.web.parts.presses import Presses
from shopbook.web.parts.rows import Customer
from shopbook.web.parts.sections import Page, page_section


@blueprint.route("/<int:customer_id>/merge", methods=["GET", "POST"])
@needs("customers", "change")
def merge(customer_id: int) -> Answer:
    customer = get_customer(reader(), customer_id)
    is_asking = request.method == "GET" and "who" in request.args
    form = SomebodyForm(request.args) if is_asking else SomebodyForm()
    offers = _offered(form.who.data or "", customer)

    def join(act: Act) -> Done:
        if (form.known.data or "") not in offers:
            raise RuleBroken("Enter a name or phone number of the book, then choose the customer.", "who")
        merge_customers(act, customer.id, int(form.known.data or 0))
        return Done(url_for("customers.show", customer_id=customer.id), "Merged.")

    return act_by_form(form, "customers/merge.html", join, customer=customer, known=offers)


def _offered(typed: str, customer: Customer) -> dict[str, str]:
    """Who was typed; before that whoever has this customer's name or number."""
    if typed:
        return only_known(people_offered(typed, customer.id))
    same = people_offered(customer.phone, customer.id) | people_offered(customer.name, customer.id)
    return only_known(same)


def _page(customer_id: int) -> str:
    return url_for("customers.show", customer_id=customer_id)


parting = Presses(blueprint, "customers", "change", _page)
parting.add("/<int:customer_id>/part", "part", part_customer, "Separated. Each is a customer of its own again.")


@page_section(Page.CUSTOMER, "customers/_merged.html", order=90)
def merged_section(session: Session, customer: Customer) -> Mapping[str, object]:
    """Who was merged into this customer, and the way to merge another."""
    return {"merged": list_merged(session, customer.id), "customer": customer}
