"""Papers that expire: added, edited, renewed, removed; listed on the page of air and waste."""

from flask import url_for
from wtforms import IntegerField, SelectField, StringField
from wtforms.validators import NumberRange, Optional

from shopbook.queries.shop.dated_papers import get_dated_paper
from shopbook.services.shop.dated_papers import (
    add_dated_paper,
    change_dated_paper,
    end_dated_paper,
    renew_dated_paper,
)
from shopbook.trade.air.waste import PAPER_WORDS, RENEWED_MONTHS, PaperKind
from shopbook.trade.measures.days import month_of
from shopbook.web.parts import Answer, Presses, act_by_form, does, needs, reader, shop_now, today
from shopbook.web.parts.fields import DayField, Needed
from shopbook.web.parts.forms import LINE, ActForm, choices
from shopbook.web.reports.air import refuse_when_off
from shopbook.web.reports.blueprint import blueprint


class DatedPaperForm(ActForm):
    """One paper that expires."""

    whose = StringField("Whose, or which", [LINE])
    last_on = DayField("Last done on", [Needed("Enter the day it was last done.")])
    months = IntegerField("Repeat after, months", [Optional(), NumberRange(1, 240, "Enter 1 to 240 months.")])
    note = StringField("Note", [LINE])


class NewPaperForm(DatedPaperForm):
    """One more paper, with its kind."""

    kind = SelectField("What", choices=choices({kind.value: words.capitalize() for kind, words in PAPER_WORDS.items()}))


@blueprint.route("/air/papers/new", methods=["GET", "POST"])
@needs("reports", "month")
def new_paper() -> Answer:
    refuse_when_off()
    form = NewPaperForm(data={"last_on": today()})
    usual = ", ".join(f"{PAPER_WORDS[kind]} {months}" for kind, months in RENEWED_MONTHS.items())
    add = does(lambda act: add_dated_paper(act, **form.clean()), _papers(), "Added.")
    return act_by_form(
        form, "reports/paper.html", add, heading="Certificate or check", usual=f"Leave empty for the usual: {usual}."
    )


@blueprint.route("/air/papers/<int:paper_id>", methods=["GET", "POST"])
@needs("reports", "month")
def paper(paper_id: int) -> Answer:
    refuse_when_off()
    found = get_dated_paper(reader(), paper_id)
    form = DatedPaperForm(data={name: getattr(found, name) for name in ("whose", "last_on", "months", "note")})
    heading = PAPER_WORDS[PaperKind(found.kind)].capitalize()
    change = does(lambda act: change_dated_paper(act, paper_id, **form.clean()), _papers(), "Saved.")
    return act_by_form(form, "reports/paper.html", change, heading=heading, usual="", kept=found)


on_paper = Presses(blueprint, "reports", "month", lambda paper_id: _papers())
on_paper.add("/air/papers/<int:paper_id>/renew", "renew_paper", renew_dated_paper, "Renewed today.")
on_paper.add("/air/papers/<int:paper_id>/end", "end_paper", end_dated_paper, "Removed.")


def _papers() -> str:
    return url_for("reports.air", name=month_of(shop_now().day), _anchor="papers")
