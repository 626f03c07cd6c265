"""Signing in with a name and a password, and out again; every sign-in begins a fresh session."""

from flask import Response as FlaskResponse
from flask import flash, g, make_response, redirect, render_template, request, session, url_for
from werkzeug.wrappers import Response

from shopbook.outside.passwords import hash_token, make_token
from shopbook.queries.shop.people import get_person, list_people, list_people_called
from shopbook.services.shop.people import begin_sign_in, end_sign_in, name_is_known
from shopbook.trade.letters import fold_name
from shopbook.web.parts import now, reader, safe_path, writer
from shopbook.web.parts.forms import csrf_token
from shopbook.web.parts.guards import SIGN_IN, open_to_all
from shopbook.web.shop.forms import SignInForm
from shopbook.web.shop.known import keep_known
from shopbook.web.shop.routes import blueprint
from shopbook.web.shop.tries import Refusal, try_sign_in


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
    kept = {person.id: person.password_hash for person in list_people_called(reader(), name)}
    tried = try_sign_in(name, kept, form.password.data or "")
    if isinstance(tried, Refusal):
        form.password.errors = [tried.sentence]
        return _page(form, tried.status, tried.headers)
    sign_in_as(tried)
    tell_new_name(tried, name)
    answer = redirect(safe_path(form.then.data) or url_for("shop.front"), 303)
    keep_known(answer, tried)
    return answer


def tell_new_name(person_id: int, typed: str) -> None:
    """Tell a person whom the upgrade named anew; who signed in under the new name knows it from now on."""
    person = get_person(reader(), person_id)
    if person.name_before is None:
        return
    flash(f"Two people here are called {person.name_before}. You are now {person.name}: sign in with that name.")
    if fold_name(typed) == person.folded_name:
        with writer() as opened:
            name_is_known(opened, person_id)


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
