"""Time off: added to the diary and removed."""

from flask import url_for
from werkzeug.wrappers import Response

from shopbook.queries.diary.hands import get_absence
from shopbook.services.diary import add_absence, remove_absence
from shopbook.web.diary.forms import AwayForm
from shopbook.web.diary.routes import blueprint, week_url
from shopbook.web.parts import Act, Answer, Done, act_by_form, act_by_press, choices, needs, shop_now, today


@blueprint.route("/away", methods=["GET", "POST"])
@needs("diary", "change")
def away() -> Answer:
    form = AwayForm(first=today())
    form.person_id.choices = choices({each.id: each.name for each in shop_now().people})

    def add(act: Act) -> Done:
        count = add_absence(act, **form.clean())
        return Done(week_url(form.first.given), f"Saved: {count} day{'s' if count != 1 else ''} off.")

    return act_by_form(form, "diary/away.html", add)


@blueprint.post("/away/<int:absence_id>/remove")
@needs("diary", "change")
def here_after_all(absence_id: int) -> Response:
    def remove(act: Act) -> Done:
        on = get_absence(act.session, absence_id).on
        remove_absence(act, absence_id)
        return Done(week_url(on), "Time off removed.")

    return act_by_press(remove, url_for("diary.week"))
