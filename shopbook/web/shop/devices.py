"""Devices that stay signed in on the floor, and who is using one: tap your name, a PIN only to change person."""

from flask import Response as FlaskResponse
from flask import current_app, g, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from shopbook.outside.passwords import GUESSED_PINS, hash_pin, hash_token, make_token
from shopbook.queries.shop.people import get_actor, get_person, list_devices
from shopbook.services.shop.people import end_device, enrol_device, hold_device, put_down_device, set_pin
from shopbook.trade.errors import NotFound
from shopbook.web.parts import Act, Answer, Done, Presses, act_by_form, now, reader, safe_path, shop_now, writer
from shopbook.web.parts.guards import DEVICE_COOKIE, needs, open_to_all
from shopbook.web.shop.forms import DeviceForm, FirstGuessedForm, PinForm
from shopbook.web.shop.routes import blueprint
from shopbook.web.shop.sign_in import end_here, leave_here, tell_new_name
from shopbook.web.shop.tries import Refusal, try_pin

A_YEAR = 365 * 24 * 60 * 60


@blueprint.route("/devices", methods=["GET", "POST"])
@needs("shop", "device")
def devices() -> Answer:
    form = DeviceForm()
    token = make_token()
    enrolled: list[int] = []

    def doing(act: Act) -> Done:
        name = form.clean()["name"]
        enrolled.append(enrol_device(act, token_hash=hash_token(token), name=name).id)
        return Done(url_for("shop.who"), f"{name} now stays signed in. Who is using it?")

    known = list_devices(reader())
    names = shop_now().person_names
    answer = make_response(act_by_form(form, "shop/devices.html", doing, devices=known, names=names, here=g.device))
    if enrolled and answer.status_code == 303:
        # Nothing of the desk's stays on a phone that goes to the floor.
        end_here()
        _keep_cookie(answer, token)
    return answer


on_device = Presses(blueprint, "shop", "device", lambda device_id: url_for("shop.devices"))
on_device.add("/devices/<int:device_id>/end", "end", end_device, "Device signed out.")


@blueprint.get("/who")
@open_to_all
def who() -> Response | str:
    if g.device is None:
        return redirect(url_for("shop.sign_in"))
    people = shop_now().people
    return render_template("shop/who.html", people=people, holder_id=g.device.person_id, then=_then())


@blueprint.route("/who/<int:person_id>", methods=["GET", "POST"])
@open_to_all
def pin(person_id: int) -> Response | str:
    person = get_person(reader(), person_id)
    if g.device is None or not person.is_active:
        raise NotFound("That person cannot use this device. Choose a name from the list.")
    if request.method == "POST":
        return _try(person_id, person.name, person.pin_hash)
    is_held = g.device.person_id == person_id
    return redirect(_then() or url_for("shop.front")) if is_held else _pin_page(PinForm(then=_then()), person.name, 200)


def _try(person_id: int, name: str, kept: str | None) -> Response:
    """One try with the PIN as typed, and with a new one where the page asked for it."""
    form = FirstGuessedForm() if "fresh" in request.form else PinForm(then=_then())
    if not form.validate():
        return _pin_page(form, name, 422)
    if refusal := try_pin(name, kept, form.pin.data or ""):
        # Asked again in a field that can be seen: where another PIN is chosen, the old one is out of sight.
        again = PinForm(None, then=form.then.data)
        again.pin.errors = [refusal.sentence]
        return _pin_page(again, name, refusal.status, refusal)
    if form.pin.data in GUESSED_PINS and not isinstance(form, FirstGuessedForm):
        return _pin_page(_new_pin_form(form), name, 422)
    return _take_in_hand(person_id, form)


def _new_pin_form(form: PinForm | FirstGuessedForm) -> FirstGuessedForm:
    """The form for another PIN, the one that was right in it."""
    return FirstGuessedForm(None, then=form.then.data, pin=form.pin.data)


def _take_in_hand(person_id: int, form: PinForm | FirstGuessedForm) -> Response:
    """The device changes hands, with a new PIN where the old one had to go; whoever was signed in on it with a password
    is signed out."""
    device_id, holder, then = g.device.id, get_actor(reader(), person_id), safe_path(form.then.data)
    fresh = form.fresh.data if isinstance(form, FirstGuessedForm) else None
    hashed = hash_pin(fresh, current_app.config["SECRET_KEY"]) if fresh else None
    with writer() as opened:
        act = Act(opened, holder, now())
        if hashed:
            set_pin(act, person_id, hashed)
        hold_device(act, device_id)
    leave_here()
    tell_new_name(person_id, holder.name)
    answer = redirect(then or url_for("shop.front"), 303)
    _keep_cookie(answer, request.cookies[DEVICE_COOKIE])
    return answer


@blueprint.post("/who/nobody")
@open_to_all
def nobody() -> Response:
    if g.device is not None:
        device_id = g.device.id
        with writer() as opened:
            put_down_device(Act(opened, g.actor, now()), device_id)
    leave_here()
    return redirect(url_for("shop.who" if g.device else "shop.sign_in"), 303)


def _pin_page(
    form: PinForm | FirstGuessedForm, name: str, status: int, refusal: Refusal | None = None
) -> FlaskResponse:
    page = render_template("shop/pin.html", form=form, name=name)
    return make_response(page, status, refusal.headers if refusal else {})


def _then() -> str | None:
    return safe_path(request.args.get("then"))


def _keep_cookie(answer: Response, token: str) -> None:
    is_secure = bool(current_app.config["SESSION_COOKIE_SECURE"])
    answer.set_cookie(DEVICE_COOKIE, token, max_age=A_YEAR, secure=is_secure, httponly=True, samesite="Lax")
