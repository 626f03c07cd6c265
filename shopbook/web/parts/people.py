"""Somebody of the book is pointed at by name or number: people only, offered so that nobody is written down twice."""

from wtforms import StringField

from shopbook.queries.customers import find_by_phone, get_customer, list_namesakes
from shopbook.trade.errors import RuleBroken
from shopbook.trade.search_keys import asked_words
from shopbook.trade.who import read_who
from shopbook.web.parts.act import reader
from shopbook.web.parts.forms import LINE, ActForm
from shopbook.web.parts.rows import Customer

SOMEBODY_ELSE = "new"


class SomebodyForm(ActForm):
    """One person, as typed or as chosen among those of the book."""

    who = StringField("Name or phone", [LINE])
    known = StringField("In the book already")


def people_offered(typed: str, besides: int | None = None) -> dict[str, str]:
    """The people of that phone number or name as choices in words, one left out; empty where the book has nobody.

    A choice is a customer's id, or "new" for somebody else of that name.
    """
    who = read_who(typed)
    known = find_by_phone(reader(), who.phone)
    if known is not None:
        found = [get_customer(reader(), known.id)] if known.id != besides else []
    else:
        found = list_namesakes(reader(), asked_words(who.name), besides=besides)
    offers = {str(each.id): _called(each) for each in found}
    return offers | ({SOMEBODY_ELSE: "Somebody else of that name"} if offers and not who.phone else {})


def only_known(offers: dict[str, str]) -> dict[str, str]:
    """The people of the book alone, without somebody new."""
    return {choice: words for choice, words in offers.items() if choice != SOMEBODY_ELSE}


def _called(person: Customer) -> str:
    plates = ", ".join(car.plate for car in person.vehicles if car.plate)
    return " · ".join(each for each in (person.name, person.phone, plates) if each)


def person_chosen(form: SomebodyForm, offers: dict[str, str]) -> int | None:
    """The customer that was chosen, or None for whoever was typed; RuleBroken where a known name was not answered."""
    choice = form.known.data or ""
    if choice in offers:
        return int(choice) if choice != SOMEBODY_ELSE else None
    if offers and not read_who(form.who.data or "").phone:
        raise RuleBroken("That name is in the book already. Choose below whether it is the same person.", "who")
    return None
