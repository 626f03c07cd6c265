"""Who stands in the book already under what was typed: offered, so that nobody is added twice."""

from shopbook.queries.customers import find_by_phone, get_customer, list_namesakes
from shopbook.services.jobs.whose import Whose
from shopbook.trade.errors import RuleBroken
from shopbook.trade.search_keys import asked_words
from shopbook.trade.who import read_who
from shopbook.web.jobs.forms import WhoForm
from shopbook.web.parts import car_text, reader
from shopbook.web.parts.rows import Customer

SOMEBODY_ELSE = "new"
MOST_CARS = 6


def offered(typed: str) -> dict[str, str]:
    """The people of that phone number or name and their cars, as choices in words; empty where the book has nobody.

    A choice is "v" with a car's id, "c" with a customer's for a car that is not in the book yet, or "new".
    """
    who = read_who(typed)
    people = _of_phone(who.phone) or list_namesakes(reader(), asked_words(who.name))
    found: dict[str, str] = {}
    for person in people:
        found |= cars_of(person, called=" · ".join(each for each in (person.name, person.phone) if each))
    return found | ({SOMEBODY_ELSE: "Someone else with that name"} if found and not who.phone else {})


def cars_of(person: Customer, called: str = "") -> dict[str, str]:
    """One customer's cars as choices, and the choice that it is none of them; nothing for whom no car is known of."""
    before = f"{called}: " if called else ""
    found = {f"v{car.id}": before + car_text(car, with_plate=True) for car in person.vehicles[:MOST_CARS]}
    if not found and not called:
        return {}
    return found | {f"c{person.id}": f"{before}another car" if found else called}


def pointed_at(choice: str, offers: dict[str, str]) -> Whose | None:
    """The customer and the car that a choice stands for; None for nobody of the book."""
    if choice not in offers or choice == SOMEBODY_ELSE:
        return None
    key = int(choice[1:])
    if choice.startswith("c"):
        return key, None
    order = list(offers)
    # A person's own choice follows those of the cars.
    return next(int(each[1:]) for each in order[order.index(choice) :] if each.startswith("c")), key


def refuse_unsaid(form: WhoForm, offers: dict[str, str]) -> None:
    """A name that stands in the book letter for letter is asked about once. RuleBroken says so."""
    who = read_who(form.who.data or "")
    if not offers or form.known.data in offers or who.phone:
        return
    wanted = asked_words(who.name)
    owners = [int(each[1:]) for each in offers if each.startswith("c")]
    if any(asked_words(get_customer(reader(), owner).name) == wanted for owner in owners):
        raise RuleBroken("That name is already in the book. Choose below whether it is the same person.", "who")


def _of_phone(phone: str) -> list[Customer]:
    known = find_by_phone(reader(), phone)
    return [get_customer(reader(), known.id)] if known is not None and known.erased_at is None else []
