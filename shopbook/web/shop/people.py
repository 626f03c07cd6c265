"""The shop's people, managed by the owner: roles, skills, cost and sign-in."""

from flask import current_app, g, render_template, request, url_for

from shopbook.outside.passwords import hash_password, hash_pin
from shopbook.queries.shop.people import cost_on, costs_on, get_actor, get_person
from shopbook.services.shop.people import add_person, change_person, set_cost, set_password, set_pin
from shopbook.trade.car.damage import SKILL_WORDS
from shopbook.trade.permissions import Role
from shopbook.web.parts import Act, Answer, Done, act_by_form, needs, reader, shop_now, today
from shopbook.web.shop.forms import ROLE_WORDS, PersonForm
from shopbook.web.shop.routes import blueprint


@blueprint.get("/people")
@needs("shop", "people")
def people() -> str:
    gone = [person for person in shop_now().everybody if not person.is_active]
    known = {person.id: person for person in shop_now().people}
    return render_template(
        "shop/people.html",
        actors=shop_now().actors,
        known=known,
        costs=costs_on(reader(), today()),
        gone=gone,
        role_words=ROLE_WORDS,
        skill_words=SKILL_WORDS,
    )


@blueprint.route("/people/new", methods=["GET", "POST"])
@needs("shop", "people")
def new_person() -> Answer:
    form = PersonForm(roles=[Role.TECHNICIAN])
    hashes = _hashes(form)

    def doing(act: Act) -> Done:
        person = add_person(
            act,
            name=form.name.data or "",
            roles=[Role(role) for role in form.roles.data or ()],
            skills=form.skills.data or (),
            weekly_minutes=form.weekly_minutes.data or 0,
            password_hash=hashes.get("password"),
            pin_hash=hashes.get("pin"),
        )
        _set_cost(act, form, person.id)
        return Done(url_for("shop.people"), f"{person.name} added.")

    return act_by_form(form, "shop/person.html", doing, known=None)


@blueprint.route("/people/<int:person_id>", methods=["GET", "POST"])
@needs("shop", "people")
def person(person_id: int) -> Answer:
    known, form, is_me = get_person(reader(), person_id), _person_form(person_id), g.actor.person_id == person_id
    hashes = _hashes(form)
    if is_me:
        hashes.pop("password", None)

    def doing(act: Act) -> Done:
        _change(act, person_id, form, hashes)
        return Done(url_for("shop.people"), f"{form.name.data} saved.")

    return act_by_form(form, "shop/person.html", doing, known=known, is_me=is_me)


def _person_form(person_id: int) -> PersonForm:
    known, held = get_person(reader(), person_id), get_actor(reader(), person_id)
    return PersonForm(
        revision=known.revision,
        name=known.name,
        roles=sorted(held.roles),
        skills=sorted(held.skills),
        weekly_minutes=known.weekly_minutes,
        cost=cost_on(reader(), person_id, today()) or None,
        is_active=known.is_active,
    )


def _hashes(form: PersonForm) -> dict[str, str]:
    """The typed password and PIN, hashed before the transaction; nothing for a field that is empty or refused."""
    if request.method != "POST" or not form.validate():
        return {}
    made = {}
    if form.password.data:
        made["password"] = hash_password(form.password.data)
    if form.pin.data:
        made["pin"] = hash_pin(form.pin.data, current_app.config["SECRET_KEY"])
    return made


def _change(act: Act, person_id: int, form: PersonForm, hashes: dict[str, str]) -> None:
    """Save a known person as typed: roles, skills, sign-in and cost."""
    change_person(
        act,
        person_id,
        revision=form.revision.data or 0,
        name=form.name.data or "",
        roles=[Role(role) for role in form.roles.data or ()],
        skills=form.skills.data or (),
        weekly_minutes=form.weekly_minutes.data or 0,
        is_active=bool(form.is_active.data),
    )
    if "password" in hashes:
        set_password(act, person_id, hashes["password"])
    if "pin" in hashes:
        set_pin(act, person_id, hashes["pin"])
    _set_cost(act, form, person_id)


def _set_cost(act: Act, form: PersonForm, person_id: int) -> None:
    from_on = form.cost_from_on.data or today()
    cost = form.cost_minor()
    if cost is not None and cost != cost_on(act.session, person_id, from_on):
        set_cost(act, person_id, cost, from_on)
