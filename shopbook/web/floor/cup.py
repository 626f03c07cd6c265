"""A planned mix poured differently: into another cup, in another amount, or once for several stages."""

from flask import render_template, request

from shopbook.queries.floor.mixing_together import MixFacts, get_mix_facts
from shopbook.trade.coating.mixing import Cupful, JointNeed, fill_cups
from shopbook.trade.errors import RuleBroken
from shopbook.web.floor import words
from shopbook.web.floor.blueprint import blueprint
from shopbook.web.floor.forms import CupForm
from shopbook.web.parts import choices, key_or_none, keys_among, needs, now, reader


@blueprint.get("/stages/<int:stage_id>/mixes/<code>/cup")
@needs("floor", "work")
def cup(stage_id: int, code: str) -> str:
    facts = get_mix_facts(reader(), stage_id, code, now())
    form = CupForm(request.args) if request.args else CupForm()
    sizes = {str(size): f"a full {words.quantity(size, 'ml')} cup" for size in facts.cups}
    form.cup.choices = choices({"": "the smallest that fits", **sizes})
    form.together.choices = choices({mate.stage_id: f"{mate.number} {mate.name}" for mate in facts.mates})
    need = facts.need_with(keys_among(form.together.data))
    return render_template(
        "floor/cup.html", form=form, facts=facts, need=need, filled=_filled(form, facts, need), words=words
    )


def _filled(form: CupForm, facts: MixFacts, need: JointNeed) -> Cupful | None:
    """The cups of what was asked for; None, with the sentence beside its field, for what is no amount."""
    if not form.validate():
        return None
    chosen = key_or_none(form.cup.data)
    try:
        wanted = need.wanted_thousandths if form.amount.data is None else form.amount.data
        return fill_cups(wanted, facts.cups, chosen if chosen in facts.cups else None)
    except RuleBroken as broken:
        form.refuse(broken)
        return None
