"""The first run: a one-time page that turns three answers into a book with an owner who can sign in."""

import hmac

from flask import current_app, render_template, request, url_for

from shopbook.config import Config
from shopbook.outside.passwords import hash_password
from shopbook.queries.shop.book import find_book
from shopbook.services.jobs.sample import make_sample_job
from shopbook.services.shop.start import FirstAnswers, start_book
from shopbook.web.parts import Act, Answer, Done, act_by_form, open_to_all, reader
from shopbook.web.shop.forms import StartForm
from shopbook.web.shop.routes import blueprint
from shopbook.web.shop.sign_in import sign_in_as


@blueprint.route("/start", methods=["GET", "POST"])
@open_to_all
def start() -> Answer:
    if find_book(reader()) is not None:
        return render_template("shop/started.html")
    form = StartForm()
    if request.method == "GET":
        form.code.data = request.args.get("code", "")
    if not _is_the_code(form.code.data or ""):
        return render_template("shop/no_code.html"), 403
    password_hash = hash_password(form.password.data or "") if request.method == "POST" and form.validate() else ""
    owner_ids: list[int] = []

    def doing(act: Act) -> Done:
        owner_ids.append(_open(act, _answers(form, password_hash)))
        return Done(url_for("jobs.kerb"), "Your book is open. You can change everything in Settings.")

    answer = act_by_form(form, "shop/start.html", doing)
    if owner_ids and find_book(reader()) is not None:
        _settings().start_code_file.unlink(missing_ok=True)
        sign_in_as(owner_ids[0])
    return answer


def _open(act: Act, answers: FirstAnswers) -> int:
    """The book is started with a sample job to press on; answers the owner's id."""
    owner = start_book(act, answers)
    make_sample_job(act)
    return owner.id


def _settings() -> Config:
    config: Config = current_app.config["SHOPBOOK"]
    return config


def _is_the_code(given: str) -> bool:
    """Whether it is the code that `shopbook init` left in the data folder; compared in constant time."""
    file = _settings().start_code_file
    kept = file.read_text(encoding="ascii").strip() if file.is_file() else ""
    return bool(kept) and hmac.compare_digest(given.strip().encode(), kept.encode())


def _answers(form: StartForm, password_hash: str) -> FirstAnswers:
    given = form.clean()
    return FirstAnswers(
        country=given["country"],
        shop_name=given["shop_name"],
        hour_minor=form.hour_minor(),
        owner_name=given["owner_name"],
        password_hash=password_hash,
        zone=given["zone"],
        currency=given["currency"],
        base=given["base"],
    )
