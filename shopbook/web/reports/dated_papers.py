"""Papers that run out: noted, changed, renewed, let go; they stand on the page of air and waste."""

from collections.abc import Callable
from typing import Any

from flask import url_for
from werkzeug.wrappers import Response
from wtforms import IntegerField, SelectField, StringField
from wtforms.validators import Length, NumberRange, Optional

from shopbook.queries.shop.dated_papers import get_dated_paper
from shopbook.services.act import Act
from shopbook.services.shop.dated_papers import (
    add_dated_paper,
    change_dated_paper,
    end_dated_paper,
    renew_dated_paper,
)
from shopbook.trade.air.waste import PAPER_WORDS, RENEWED_MONTHS, PaperKind
from shopbook.trade.measures.days import month_of
from shopbook.web.parts.act import Done, act_by_form, act_by_press, reader, shop_now
from shopbook.web.parts.fields import DayField, Needed, today
from shopbook.web.parts.forms import LONGEST_LINE, ActForm, choices
from shopbook.web.parts.guards import needs
from shopbook.web.reports.air import refuse_when_off
from shopbook.web.reports.blueprint import blueprint

_LINE = Length(max=LONGEST_LINE, message=f"At most {LONGEST_LINE} letters here.")


class DatedPaperForm(ActForm):
    """One paper that runs out."""

    whose = StringField("Whose, or which one", [_LINE])
    last_on = DayField("Last made on", [Needed("Type the day on which it was last made.")])
    months = IntegerField("Made again after months", [Optional(), NumberRange(1, 240, "From 1 to 240 months.")])
    note = StringField("Note", [_LINE])


class NewPaperForm(DatedPaperForm):
    """One more paper, with its kind."""

    kind = SelectField("What", choices=choices({kind.value: words.capitalize() for kind, words in PAPER_WORDS.items()}))


@blueprint.route("/air/papers/new", methods=["GET", "POST"])
@needs("reports", "month")
def new_paper() -> Any:
    refuse_when_off()
    form = NewPaperForm(data={"last_on": today()})

    def add(act: Act) -> Done:
        add_dated_paper(act, **form.clean())
        return Done(_papers(), "Noted.")

    return act_by_form(form, "reports/paper.html", add, heading="A paper that runs out", usual=_usual())


@blueprint.route("/air/papers/<int:paper_id>", methods=["GET", "POST"])
@needs("reports", "month")
def paper(paper_id: int) -> Any:
    refuse_when_off()
    found = get_dated_paper(reader(), paper_id)
    form = DatedPaperForm(data={name: getattr(found, name) for name in ("whose", "last_on", "months", "note")})

    def change(act: Act) -> Done:
        change_dated_paper(act, paper_id, **form.clean())
        return Done(_papers(), "Kept.")

    heading = PAPER_WORDS[PaperKind(found.kind)].capitalize()
    return act_by_form(form, "reports/paper.html", change, heading=heading, usual="", kept=found)


@blueprint.post("/air/papers/<int:paper_id>/renew")
@needs("reports", "month")
def renew_paper(paper_id: int) -> Response:
    return _press(lambda act: renew_dated_paper(act, paper_id), "Renewed today.")


@blueprint.post("/air/papers/<int:paper_id>/end")
@needs("reports", "month")
def end_paper(paper_id: int) -> Response:
    return _press(lambda act: end_dated_paper(act, paper_id), "Let go of.")


def _press(service: Callable[[Act], object], said: str) -> Response:
    def doing(act: Act) -> Done:
        service(act)
        return Done(_papers(), said)

    return act_by_press(doing, _papers())


def _papers() -> str:
    return url_for("reports.air", name=month_of(shop_now().day), _anchor="papers")


def _usual() -> str:
    told = [f"{PAPER_WORDS[kind]} {months}" for kind, months in RENEWED_MONTHS.items()]
    return f"empty for the usual: {', '.join(told)}"
