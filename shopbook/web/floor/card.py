"""A day typed from a paper card, by the desk or by whoever wrote the card."""

from flask import g

from shopbook.services.floor.day_sheet import CardLine, type_hours
from shopbook.trade.errors import RuleBroken
from shopbook.web.floor.blueprint import blueprint
from shopbook.web.floor.day import day_url, parse_doing, which_day, whose
from shopbook.web.floor.entry import stage_choices
from shopbook.web.floor.forms import PaperCardForm, place_choices
from shopbook.web.parts import Act, Answer, Done, act_by_form, choices, needs, shop_now


@blueprint.route("/card", methods=["GET", "POST"])
@needs("floor", "work")
def paper_card() -> Answer:
    person_id, on = whose(), which_day()
    form = PaperCardForm(data={"person": str(person_id), "on": on})
    people = {str(one.id): one.name for one in shop_now().people}
    mine = {key: name for key, name in people.items() if key == str(g.actor.person_id)}
    form.person.choices = choices(people if g.actor.may("floor", "hours") else mine)
    where = place_choices(stage_choices(on))
    for line in form.lines:
        line.form.where.choices = where

    def keep(act: Act) -> Done:
        whom = _person(form)
        day = form.on.data or on
        entries = type_hours(act, whom, day, _lines(form), came=form.came.data, went=form.went.data)
        return Done(day_url(whom, day), f"Saved from the card: {len(entries)} line{'s' if len(entries) != 1 else ''}.")

    return act_by_form(form, "floor/paper_card.html", keep, person_id=person_id, on=on)


def _person(form: PaperCardForm) -> int:
    key = form.person.data or ""
    if not key.isdecimal() or len(key) > 9:
        raise RuleBroken("Choose whose card it is.", "person")
    return int(key)


def _lines(form: PaperCardForm) -> list[CardLine]:
    """The lines that were typed; a line must be complete or empty."""
    lines = []
    for number, line in enumerate(form.lines, 1):
        begins, ends, where = (line.form[name].data for name in ("begins", "ends", "where"))
        if begins is None and ends is None and not where:
            continue
        if begins is None or ends is None or not where:
            raise RuleBroken(f"Line {number} needs a start, an end and what it was.", "lines")
        lines.append(CardLine(begins, ends, parse_doing(where)))
    return lines
