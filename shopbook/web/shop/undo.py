"""Undo: the press that stands beside what an act has answered, for the person who pressed."""

from flask import current_app, flash, g, redirect, request, url_for
from werkzeug.wrappers import Response

from shopbook.queries.shop.acts import find_act
from shopbook.services.undo.undo import Undone, undo_act
from shopbook.trade.errors import Conflict, NotAllowed, NotFound, RuleBroken
from shopbook.web.parts import Act, Done, needs, perform, reader, safe_path
from shopbook.web.shop.routes import blueprint, first_page


@blueprint.post("/undo/<key>")
@needs("shop", "see")
def undo(key: str) -> Response:
    _refuse_unless_allowed(key)

    def doing(act: Act) -> Done:
        return Done(_leads_to(undo_act(act, key)), "Undone.")

    try:
        done = perform(doing, request.form.get("act_key", ""), undoes=key)
    except (RuleBroken, Conflict) as refusal:
        flash(refusal.sentence, "late")
        return redirect(safe_path(_pressed_on(key)) or first_page(), 303)
    flash(done.said)
    return redirect(done.url, 303)


def _refuse_unless_allowed(key: str) -> None:
    """Whoever may no longer do the act may not undo it either."""
    act = find_act(reader(), key)
    if act is None:
        raise NotFound("There is nothing to undo.")
    wanted = getattr(current_app.view_functions.get(act.name), "needs", None)
    if wanted is not None and not g.actor.may(*wanted):
        raise NotAllowed("Your role does not include this. Ask the shop’s owner, or have someone else sign in.")


def _leads_to(undone: Undone) -> str:
    """The page that the act had led to, or, where that is gone, the one on which it was pressed."""
    return (safe_path(undone.pressed_on) if undone.is_page_gone else undone.led_to) or url_for("shop.front")


def _pressed_on(key: str) -> str:
    act = find_act(reader(), key)
    return act.led_to if act is not None else ""
