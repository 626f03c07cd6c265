"""One stretch of a day placed by hand, and one entry corrected or removed."""

from datetime import date, datetime, time

from flask import g, request, url_for
from werkzeug.wrappers import Response

from shopbook.queries.floor.day import list_choices
from shopbook.queries.floor.entries import get_entry
from shopbook.services.floor.day_sheet import correct_entry, place_time, take_entry_back
from shopbook.trade.errors import NotAllowed, RuleBroken
from shopbook.trade.floor.hours import Interval
from shopbook.web.floor.blueprint import blueprint
from shopbook.web.floor.day import day_of_address, day_url, parse_doing, parse_interval, which_day, whose
from shopbook.web.floor.forms import StretchForm, place_choices
from shopbook.web.parts import Act, Answer, Done, act_by_form, act_by_press, needs, reader, shop_now
from shopbook.web.parts.late import may_wait
from shopbook.web.parts.rows import ClockEntry


def stage_choices(on: date) -> list[tuple[int, str]]:
    """The stages that a stretch of that day may have been on."""
    return [(choice.stage_id, choice.words) for choice in list_choices(reader(), on)]


@blueprint.route("/day/else", methods=["GET", "POST"])
@needs("floor", "work")
@may_wait("Place time", day_of_address)
def place_else() -> Answer:
    person_id, on, hole = whose(), which_day(), parse_interval()
    form = StretchForm(data={"begins": _clock(hole.begins_at), "ends": _clock(hole.ends_at)})
    form.where.choices = place_choices(stage_choices(on))

    def keep(act: Act) -> Done:
        doing = parse_doing(form.where.data or "", form.note.data or "")
        place_time(act, person_id, _typed(form, on), doing)
        return Done(day_url(person_id, on), "Placed.")

    return act_by_form(form, "floor/place_else.html", keep, back=day_url(person_id, on), on=on)


@blueprint.route("/entries/<int:entry_id>", methods=["GET", "POST"])
@needs("floor", "work")
def entry(entry_id: int) -> Answer:
    found = _own_or_kept(entry_id)
    form = _filled(found)

    def keep(act: Act) -> Done:
        doing = parse_doing(form.where.data or "", form.note.data or "")
        interval = _typed(form, found.on)
        correct_entry(act, entry_id, interval=interval, doing=doing, reason=form.reason.data or "")
        return Done(day_url(found.person_id, found.on), "Corrected. The log keeps the old entry.")

    is_later = found.on != shop_now().day or found.person_id != g.actor.person_id
    back = day_url(found.person_id, found.on)
    return act_by_form(form, "floor/entry.html", keep, entry=found, back=back, wants_reason=is_later)


def _own_or_kept(entry_id: int) -> ClockEntry:
    """Your own entry, or anybody's for those who manage all hours; NotAllowed otherwise."""
    found = get_entry(reader(), entry_id)
    if found.person_id != g.actor.person_id and not g.actor.may("floor", "hours"):
        raise NotAllowed("That is somebody else’s day. Ask the desk.")
    return found


def _filled(found: ClockEntry) -> StretchForm:
    """The form with the entry as it stands."""
    keys = ",".join(str(share.stage_id) for share in found.shares)
    where = f"stage:{keys}" if keys else found.what
    given = {"begins": _clock(found.started_at), "ends": _clock(found.stopped_at), "where": where, "note": found.note}
    form = StretchForm(data=given)
    # A single stage is among the others; several are one choice of their own.
    as_it_is = [(keys, "No change: several stages")] if len(found.shares) > 1 else []
    form.where.choices = place_choices([*as_it_is, *stage_choices(found.on)])
    return form


@blueprint.post("/entries/<int:entry_id>/take-back")
@needs("floor", "work")
def take_back(entry_id: int) -> Response:
    found = _own_or_kept(entry_id)
    reason = request.form.get("reason", "")

    def doing(act: Act) -> Done:
        take_entry_back(act, entry_id, reason)
        return Done(day_url(found.person_id, found.on), "Removed. That time needs placing again.")

    return act_by_press(doing, url_for("floor.entry", entry_id=entry_id))


def _typed(form: StretchForm, on: date) -> Interval:
    begins, ends = form.begins.data, form.ends.data
    if begins is None or ends is None:
        raise RuleBroken("Enter a time such as 8:00.", "begins" if begins is None else "ends")
    if begins >= ends:
        raise RuleBroken("Enter an end later than the start.", "ends")
    hours = shop_now().on(on).opening
    return Interval(hours.moment(on, begins), hours.moment(on, ends))


def _clock(moment: datetime) -> time:
    return moment.astimezone(shop_now().zone).time().replace(second=0, microsecond=0)
