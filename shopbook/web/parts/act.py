"""The act: one write transaction around one service, its key claimed first; and what a form's page does around it."""

from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import UTC, datetime
from typing import TypeVar

from flask import current_app, flash, g, redirect, render_template, request
from flask_sqlalchemy import SQLAlchemy
from sqlalchemy.orm import Session
from werkzeug.wrappers import Response

from shopbook.models.session import transaction
from shopbook.services.act import Act
from shopbook.services.shop.acts import Done, claim_act, keep_result
from shopbook.trade.errors import Conflict, RuleBroken
from shopbook.trade.permissions import Actor
from shopbook.web.parts.forms import ActForm

__all__ = ["Answer", "Doing", "Done", "act_by_form", "act_by_press", "db", "does", "now", "perform", "reader", "writer"]

db = SQLAlchemy()
"""Supplies engine and session to the app; models know nothing of it."""

Doing = Callable[[Act], Done]
Result = TypeVar("Result")
Answer = Response | str | tuple[str, int]
"""What a page answers: where it leads, or what is drawn, with its status where that is not 200."""


def now() -> datetime:
    """The moment of this request; a test may set `CLOCK` in the app's settings."""
    clock = current_app.config.get("CLOCK")
    return clock() if clock else datetime.now(UTC)  # noqa: TID251


def reader() -> Session:
    """The request's session, reading one snapshot."""
    return db.session()


def writer() -> AbstractContextManager[Session]:
    """A write transaction on the request's session, for what must outlive a refusal or has no key."""
    return transaction(db.session())


def perform(doing: Doing, key: str, name: str = "") -> Done:
    """Claim the key, call the service, keep where it led, commit. A key that was claimed before leads there again."""
    actor: Actor = g.actor
    with writer() as session:
        earlier = claim_act(session, key, name or request.endpoint or "", actor.person_id, now())
        if earlier is not None:
            return earlier
        done = doing(Act(session, actor, now()))
        keep_result(session, key, done)
        return done


def does(
    service: Callable[[Act], Result], leads_to: str | Callable[[Result], str], said: str | Callable[[Result], str]
) -> Doing:
    """An act of one service; where it leads and what is said may be made of what the service answered."""

    def doing(act: Act) -> Done:
        result = service(act)
        there = leads_to if isinstance(leads_to, str) else leads_to(result)
        return Done(there, said if isinstance(said, str) else said(result))

    return doing


def act_by_form(form: ActForm, template: str, doing: Doing, **context: object) -> Answer:
    """A form's page: shown, or tried; a sentence goes beside its field and what was typed stays.

    422 for what breaks a rule, 409 when somebody else was quicker; else on to where the act leads.
    """
    if request.method != "POST":
        return render_template(template, form=form, **context)
    status = 422
    if form.validate():
        try:
            return _lead_on(perform(doing, form.act_key.data or ""))
        except RuleBroken as broken:
            form.refuse(broken)
        except Conflict as conflict:
            form.form_errors.append(conflict.sentence)
            status = 409
    form.renew()
    return render_template(template, form=form, **context), status


def act_by_press(doing: Doing, back: str) -> Response:
    """One press without fields of its own: a refusal is said on the page it came from."""
    try:
        return _lead_on(perform(doing, request.form.get("act_key", "")))
    except (RuleBroken, Conflict) as refusal:
        flash(refusal.sentence, "late")
        return redirect(back, 303)


def _lead_on(done: Done) -> Response:
    if done.said:
        flash(done.said)
    return redirect(done.url, 303)
