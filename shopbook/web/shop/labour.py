"""Hourly rates by skill, and by kind of payer where they differ."""

from flask import url_for
from wtforms.validators import Optional

from shopbook.services.shop.rates import set_labour_rates
from shopbook.trade.car.damage import SKILL_WORDS
from shopbook.trade.catalogue.kinds import Skill
from shopbook.trade.customer_kinds import KIND_WORDS, CustomerKind
from shopbook.web.parts import Act, Answer, Done, act_by_form, needs, shop_now
from shopbook.web.parts.fields import AmountField, Needed
from shopbook.web.shop.routes import blueprint
from shopbook.web.shop.setting_forms import FromDayForm

ANYBODY = "any"
PAYER_WORDS = {ANYBODY: "Standard"} | {
    kind.value: words for kind, words in KIND_WORDS.items() if kind is not CustomerKind.PRIVATE
}


class LabourForm(FromDayForm):
    """Rates by skill (rows) and kind of payer (columns); an empty cell uses the first column."""

    def rates(self) -> dict[tuple[str, str], int]:
        """What was typed; a cell that was emptied goes back to the standard rate."""
        held = shop_now().on(self.day).labour
        typed = {(skill.value, payer): self[f"{skill}_{payer}"].data for skill in Skill for payer in PAYER_WORDS}
        emptied = {key: typed[key[0], ANYBODY] for key in held if key in typed and typed[key] is None}
        return {key: rate for key, rate in (typed | emptied).items() if rate is not None}


for _skill, _words in SKILL_WORDS.items():
    for _payer, _payer_words in PAYER_WORDS.items():
        _check = [Needed("Enter your hourly rate.")] if _payer == ANYBODY else [Optional()]
        setattr(LabourForm, f"{_skill}_{_payer}", AmountField(f"{_words}, {_payer_words.lower()}", _check))


@blueprint.route("/settings/labour", methods=["GET", "POST"])
@needs("shop", "set")
def labour() -> Answer:
    held = shop_now().labour
    form = LabourForm(data={f"{skill}_{payer}": rate for (skill, payer), rate in held.items()})

    def doing(act: Act) -> Done:
        set_labour_rates(act, form.rates(), form.day)
        return Done(url_for("shop.settings"), "{Labour} rates saved.")

    return act_by_form(form, "shop/labour.html", doing, skills=SKILL_WORDS, payers=PAYER_WORDS)
