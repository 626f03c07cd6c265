"""Signing in with a name and a password, and out again; every sign-in begins a fresh session."""

from flask import Response as FlaskResponse
from flask import g, make_response, redirect, render_template, request, session, url_for
from werkzeug.wrappers import Response

from shopbook.outside.passwords import hash_token, make_token
from shopbook.queries.shop.people import find_person_named, list_people
from shopbook.services.shop.people import begin_sign_in, end_sign_in
from shopbook.web.parts import now, reader, safe_path, writer
from shopbook.web.parts.forms import csrf_token
from shopbook.web.parts.guards import SIGN_IN, open_to_all
from shopbook.web.shop.forms import SignInForm
from shopbook.web.shop.routes import blueprint
from shopbook.web.shop.tries import WRONG, try_password


def sign_in_as(person_id: int) -> None:
    """Begin a fresh session of this person on this browser; an earlier one ends, with its token."""
    end_here()
    token, said = make_token(), session.get("_flashes")
    with writer() as opened:
        begin_sign_in(opened, now(), person_id, hash_token(token))
    session.clear()
    session[SIGN_IN] = token
    session.permanent = True
    # Now, not on first use: two pages asked for at once would each make their own, and one would be refused.
    csrf_token()
    if said:
        session["_flashes"] = said


def end_here() -> None:
    """End this browser's sign-in, in the book too, so a copy of its cookie no longer works."""
    token = session.pop(SIGN_IN, None)
    if token is not None:
        with writer() as opened:
            end_sign_in(opened, hash_token(token))


def leave_here() -> None:
    """Nobody is signed in on this browser any more, and nothing of its session is left."""
    end_here()
    session.clear()


@blueprint.route("/sign-in", methods=["GET", "POST"])
@open_to_all
def sign_in() -> Response | str:
    form = SignInForm()
    if request.method == "GET":
        form.then.data = request.args.get("then", "")
        if g.device is not None and "desk" not in request.args:
            return redirect(url_for("shop.who", then=form.then.data or None))
        return _page(form)
    if not form.validate():
        return _page(form, 422)
    return _try(form)


def _try(form: SignInForm) -> Response:
    """One try with the name and the password as typed."""
    name = form.name.data or ""
    person = find_person_named(reader(), name)
    person_id, kept = (person.id, person.password_hash) if person else (None, None)
    refusal = try_password(name, kept, form.password.data or "")
    if refusal is not None or person_id is None:
        form.password.errors = [refusal.sentence if refusal else WRONG]
        return _page(form, refusal.status if refusal else 422, refusal.headers if refusal else {})
    sign_in_as(person_id)
    return redirect(safe_path(form.then.data) or url_for("shop.front"), 303)


def _page(form: SignInForm, status: int = 200, headers: dict[str, str] | None = None) -> FlaskResponse:
    # A stranger is not told who works here; a device that an owner let stay signed in shows them anyhow.
    names = [person.name for person in list_people(reader()) if person.password_hash] if g.device else []
    page = render_template("shop/sign_in.html", form=form, names=names)
    return make_response(page, status, headers or {})


@blueprint.post("/sign-out")
@open_to_all
def sign_out() -> Response:
    leave_here()
    answer = redirect(url_for("shop.sign_in", desk=1), 303)
    if request.is_secure:
        # Kept pictures go with the person; without TLS a browser does not heed it and complains.
        answer.headers["Clear-Site-Data"] = '"cache"'
    return answer
