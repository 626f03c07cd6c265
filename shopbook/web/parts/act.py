"""The act: one write transaction around one service, its key claimed first; and what a form's page does around it."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from typing import TypeVar
from urllib.parse import urlsplit

from flask import current_app, flash, g, redirect, render_template, request, url_for
from flask_sqlalchemy import SQLAlchemy
from sqlalchemy.orm import Session
from werkzeug.wrappers import Response

from shopbook.models.recording import recorded
from shopbook.models.session import transaction
from shopbook.queries.shop.shop_on import ShopOn, shop_at
from shopbook.services.act import Act
from shopbook.services.shop.acts import Done, claim_act, keep_result
from shopbook.services.undo.kept_rows import keep_rows
from shopbook.trade.errors import Conflict, RuleBroken, Undecided
from shopbook.trade.permissions import Actor
from shopbook.web.parts.forms import ActForm
from shopbook.web.parts.late import HeldBack, find_late_press, is_told, stays_on_page, tell_done, tell_refused
from shopbook.web.parts.leading import safe_path

__all__ = [
    "Answer",
    "Doing",
    "Done",
    "act_by_form",
    "act_by_press",
    "db",
    "does",
    "now",
    "perform",
    "reader",
    "shop_now",
    "today",
    "writer",
]

db = SQLAlchemy()
"""Supplies engine and session to the app; models know nothing of it."""

Doing = Callable[[Act], Done]
Result = TypeVar("Result")


@dataclass(frozen=True, slots=True)
class Prepared:
    """An act with something to be done before its transaction, such as drawing its papers.

    `prepare` takes the act and its key, and answers the act that is then performed.
    """

    doing: Doing
    prepare: Callable[[Doing, str], Doing]


Answer = Response | str | tuple[str, int]
"""What a page answers: where it leads, or what is drawn, with its status where that is not 200."""


def now() -> datetime:
    """The moment of this request; a test may set `CLOCK` in the app's settings."""
    clock = current_app.config.get("CLOCK")
    return clock() if clock else datetime.now(UTC)  # noqa: TID251


def reader() -> Session:
    """The request's session, reading one snapshot."""
    return db.session()


def shop_now() -> ShopOn:
    """The shop on the day of this request: a page reads settings, rates, hours and places from it, and hands it down.

    One a request; a write drops it, for what it holds was read from an older snapshot.
    """
    if "shop_now" not in g:
        g.shop_now = shop_at(reader(), now())
    return g.shop_now  # type: ignore[no-any-return]  # what hangs on g has no type


def today() -> date:
    """The shop's day of this request."""
    return shop_now().day


@contextmanager
def writer() -> Iterator[Session]:
    """A write transaction on the request's session, for what must outlive a refusal or has no key."""
    g.pop("shop_now", None)
    try:
        with transaction(db.session()) as session:
            yield session
    finally:
        g.pop("shop_now", None)


def perform(doing: Doing, key: str, name: str = "", undoes: str | None = None) -> Done:
    """Claim the key, call the service, keep where it led, commit. A key that was claimed before leads there again."""
    actor: Actor = g.actor
    with writer() as session:
        earlier = claim_act(session, key, name or request.endpoint or "", actor.person_id, now())
        if earlier is not None:
            return earlier
        late = find_late_press(now())
        with recorded(session) as recording:
            act = Act(session, actor, late.counts(session) if late else now())
            done = doing(act)
            can_undo = keep_rows(session, key, recording, now())
        if late is not None:
            # Beside what can be undone: when it was pressed stays said.
            late.note(act)
        said = " ".join(filter(None, (done.said, *dict.fromkeys(act.told))))
        done = replace(done, said=said, undo_key=key if can_undo else "")
        keep_result(session, key, done, pressed_on=_pressed_on(), undoes=undoes)
        return done


def _pressed_on() -> str:
    """The page of ours that the press was made on."""
    return safe_path(urlsplit(request.referrer or "").path) or ""


def does(
    service: Callable[[Act], Result], leads_to: str | Callable[[Result], str], said: str | Callable[[Result], str]
) -> Doing:
    """An act of one service; where it leads and what is said may be made of what the service answered."""

    def doing(act: Act) -> Done:
        result = service(act)
        there = leads_to if isinstance(leads_to, str) else leads_to(result)
        return Done(there, said if isinstance(said, str) else said(result))

    return doing


def act_by_form(form: ActForm, template: str, doing: Doing | Prepared, **context: object) -> Answer:
    """A form's page: shown, or tried; a sentence goes beside its field and what was typed stays.

    422 for what breaks a rule, 409 when somebody else was quicker; else on to where the act leads.
    """
    if request.method != "POST":
        return render_template(template, form=form, **context)
    status = 422
    if form.validate():
        try:
            key = form.act_key.data or ""
            return _lead_on(perform(_ready(doing, key), key), key)
        except HeldBack as held:
            return held.answer()
        except RuleBroken as broken:
            form.refuse(broken)
        except Conflict as conflict:
            form.form_errors.append(conflict.sentence)
            status = 409
    if is_told():
        return tell_refused(form.sentences(), status)
    form.renew()
    return render_template(template, form=form, **context), status


def act_by_press(doing: Doing | Prepared, back: str) -> Response:
    """One press without fields of its own: a refusal is said on the page it came from."""
    try:
        key = request.form.get("act_key", "")
        done = perform(_ready(doing, key), key)
        return _lead_on(replace(done, url=_stays_on() or done.url), key)
    except HeldBack as held:
        return held.answer()
    except (RuleBroken, Conflict) as refusal:
        if is_told() and isinstance(refusal, Undecided):
            return HeldBack("asked", refusal.sentence, field=refusal.field, choices=refusal.choices).answer()
        if is_told():
            return tell_refused([refusal.sentence], 409 if isinstance(refusal, Conflict) else 422)
        flash(refusal.sentence, "late")
        return redirect(_stays_on() or back, 303)


_STAYS = {"today": "reports.today"}
"""Pages that a press stays on where its form says so."""


def _stays_on() -> str:
    """The page on which the press of a row stands, or nothing: it leads where its act leads."""
    endpoint = _STAYS.get(request.form.get("stay", ""))
    return url_for(endpoint) if endpoint else ""


def _ready(doing: Doing | Prepared, key: str) -> Doing:
    return doing.prepare(doing.doing, key) if isinstance(doing, Prepared) else doing


def _lead_on(done: Done, key: str) -> Response:
    if not stays_on_page():
        _flash(done, key)
    return tell_done(done.url, done.said) if is_told() else redirect(done.url, 303)


def _flash(done: Done, key: str) -> None:
    if done.said or done.undo_key:
        flash(done.said or "Done.")
    if done.undo_key:
        flash(done.undo_key, "undo")
    # The draft of this form, and of no other, is let go by the page that follows.
    flash(key, "accepted")
