"""A person's own page: who they are, a new password or PIN, sign out, and links to settings, people and devices."""

from flask import Response as FlaskResponse
from flask import current_app, flash, g, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from shopbook.outside.passwords import hash_password, hash_pin
from shopbook.queries.shop.people import get_person
from shopbook.services.shop.people import set_password, set_pin
from shopbook.web.parts import Act, ActForm, Done, does, needs, perform, reader
from shopbook.web.shop.forms import ROLE_WORDS, OwnPasswordForm, OwnPinForm
from shopbook.web.shop.routes import blueprint
from shopbook.web.shop.sign_in import sign_in_as
from shopbook.web.shop.tries import Refusal, try_password, try_pin


@blueprint.get("/account")
@needs("shop", "see")
def account() -> str:
    person = get_person(reader(), g.actor.person_id)
    roles = [words for role, words in ROLE_WORDS.items() if role in g.actor.roles]
    return render_template("shop/account.html", me=person, roles=roles, device=g.device)


@blueprint.route("/account/password", methods=["GET", "POST"])
@needs("shop", "see")
def password() -> Response:
    form = OwnPasswordForm()
    if request.method == "GET" or not form.validate():
        return _page("shop/password.html", form)
    person_id = g.actor.person_id
    me = get_person(reader(), person_id)
    refusal = try_password(me.name, me.id, me.password_hash, form.current.data or "")
    if refusal is not None:
        return _page("shop/password.html", form, refusal)
    fresh = hash_password(form.fresh.data or "")

    def doing(act: Act) -> Done:
        set_password(act, person_id, fresh)
        return Done(url_for("shop.account"), "Password changed. You are signed out everywhere else.")

    done = perform(doing, form.act_key.data or "")
    sign_in_as(person_id)
    return _lead_on(done)


@blueprint.route("/account/pin", methods=["GET", "POST"])
@needs("shop", "see")
def own_pin() -> Response:
    form = OwnPinForm()
    if request.method == "GET" or not form.validate():
        return _page("shop/own_pin.html", form)
    person_id = g.actor.person_id
    me, typed = get_person(reader(), person_id), form.current.data or ""
    is_by_pin = me.pin_hash is not None and typed.isdigit()
    refusal = (
        try_pin(me.name, me.pin_hash, typed) if is_by_pin else try_password(me.name, me.id, me.password_hash, typed)
    )
    if refusal is not None:
        return _page("shop/own_pin.html", form, refusal)
    fresh = hash_pin(form.fresh.data or "", current_app.config["SECRET_KEY"])
    doing = does(lambda act: set_pin(act, person_id, fresh), url_for("shop.account"), "PIN changed.")
    return _lead_on(perform(doing, form.act_key.data or ""))


def _page(template: str, form: ActForm, refusal: Refusal | None = None) -> FlaskResponse:
    status = 200 if request.method == "GET" else 422
    if refusal is not None:
        form["current"].errors = [refusal.sentence]
        status = refusal.status
    form.renew()
    return make_response(render_template(template, form=form), status, refusal.headers if refusal else {})


def _lead_on(done: Done) -> Response:
    flash(done.said)
    return redirect(done.url, 303)
