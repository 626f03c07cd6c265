"""Fixed costs: listed, added, changed from a day, ended, removed and restored."""

from datetime import date

from flask import url_for
from wtforms import SelectField, StringField
from wtforms.validators import Optional

from shopbook.queries.shop.house_costs import get_fixed_cost, list_fixed_costs
from shopbook.services.shop.fixed_costs import (
    add_fixed_cost,
    change_fixed_cost,
    end_fixed_cost,
    restore_fixed_cost,
    strike_fixed_cost,
)
from shopbook.trade.results.fixed_costs import PER_WORDS
from shopbook.web.parts import Answer, Presses, act_by_form, does, needs, reader, today
from shopbook.web.parts.fields import AmountField, DayField, Needed
from shopbook.web.parts.forms import LINE, ActForm, choices
from shopbook.web.shop.routes import blueprint


class FixedCostForm(ActForm):
    """One fixed cost; the day is that from which what was typed applies."""

    name = StringField("What it is for", [Needed("Enter what it is for, for example Rent."), LINE])
    amount_minor = AmountField(
        "Amount",
        [Needed("Enter an amount, for example 120 or 120.50.")],
        description="Without tax where you reclaim it.",
    )
    per = SelectField("Paid", choices=choices({each.value: words for each, words in PER_WORDS.items()}))
    from_on = DayField("Applies from", [Needed("Enter the first day.")])
    until_on = DayField("Last day", [Optional()], description="Leave empty while it goes on.")


@blueprint.route("/settings/fixed-costs", methods=["GET", "POST"])
@needs("shop", "set")
def fixed_costs() -> Answer:
    form, rows = FixedCostForm(from_on=today().replace(day=1)), list_fixed_costs(reader())
    doing = does(lambda act: add_fixed_cost(act, **form.clean()), _here(), lambda row: f"{row.name} added.")
    standing = [row for row in rows if row.struck_at is None]
    return act_by_form(
        form,
        "shop/fixed_costs.html",
        doing,
        current=[row for row in standing if not _is_over(row.until_on)],
        ended=[row for row in standing if _is_over(row.until_on)],
        removed=[row for row in rows if row.struck_at is not None],
        per_words=PER_WORDS,
        today=today(),
    )


@blueprint.route("/settings/fixed-costs/<int:cost_id>", methods=["GET", "POST"])
@needs("shop", "set")
def fixed_cost(cost_id: int) -> Answer:
    known = get_fixed_cost(reader(), cost_id)
    given = {name: getattr(known, name) for name in ("name", "amount_minor", "per", "until_on")}
    form = FixedCostForm(data=given | {"from_on": max(known.from_on, today().replace(day=1))})
    doing = does(lambda act: change_fixed_cost(act, cost_id, **form.clean()), _here(), lambda row: f"{row.name} saved.")
    return act_by_form(form, "shop/fixed_cost.html", doing, known=known)


on_cost = Presses(blueprint, "shop", "set", lambda cost_id: _here())
on_cost.add(
    "/settings/fixed-costs/<int:cost_id>/end",
    "end_fixed_cost",
    lambda act, cost_id: end_fixed_cost(act, cost_id, act.day),
    lambda row: f"{row.name} ends today.",
)
on_cost.add(
    "/settings/fixed-costs/<int:cost_id>/go-on",
    "continue_fixed_cost",
    lambda act, cost_id: end_fixed_cost(act, cost_id, None),
    lambda row: f"{row.name} goes on.",
)
on_cost.add(
    "/settings/fixed-costs/<int:cost_id>/remove",
    "strike_fixed_cost",
    strike_fixed_cost,
    lambda row: f"{row.name} removed.",
)
on_cost.add(
    "/settings/fixed-costs/<int:cost_id>/restore",
    "restore_fixed_cost",
    restore_fixed_cost,
    lambda row: f"{row.name} restored.",
)


def _here() -> str:
    return url_for("shop.fixed_costs")


def _is_over(until_on: date | None) -> bool:
    return until_on is not None and until_on < today()
