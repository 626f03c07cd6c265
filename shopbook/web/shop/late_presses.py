"""A press that waits on a phone is thrown away there: by the person who made it, or the owner."""

from datetime import timedelta

from flask import request, url_for
from werkzeug.wrappers import Response

from shopbook.services.shop.late_presses import discard_press
from shopbook.trade.errors import RuleBroken
from shopbook.trade.floor.late_press import counts_from
from shopbook.web.parts import Act, Done, act_by_press, as_key, needs, now
from shopbook.web.parts.forms import LONGEST_LINE
from shopbook.web.parts.late import NOT_OURS, read_stamp
from shopbook.web.shop.routes import blueprint


@blueprint.post("/presses/discard")
@needs("shop", "see")
def discard() -> Response:
    key, what = (request.form.get(name, "")[:LONGEST_LINE] for name in ("press_key", "press_words"))
    given = read_stamp(request.form.get("press_stamp", ""))
    waited = timedelta(milliseconds=request.form.get("press_age", 0, type=as_key) or 0)

    def doing(act: Act) -> Done:
        if given is None or not key:
            raise RuleBroken(NOT_OURS)
        whose_id, given_at = given
        discard_press(act, key, whose_id, counts_from(now(), waited, [given_at]), what)
        return Done(url_for("shop.front"), "Discarded.")

    return act_by_press(doing, url_for("shop.front"))
