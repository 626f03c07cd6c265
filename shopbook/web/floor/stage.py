"""A stage on a phone: the clock, its mix cards, what to wear, its steps, and Done as one press."""

from flask import g, url_for

from shopbook.queries.floor.held import find_held
from shopbook.queries.floor.stage import StageView, get_stage_view, next_ready_at
from shopbook.queries.jobs.mixes import PlannedMix
from shopbook.services.floor.finishing import MixedInstead, Used, finish_stages
from shopbook.services.floor.mixes import Left
from shopbook.services.floor.seen import see_dry
from shopbook.services.jobs.doing import reopen_stage
from shopbook.trade.cautions import FIRST_SENTENCE
from shopbook.trade.coating.colour_cards import card_to_start_from
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.amounts import divide_half_away
from shopbook.web.floor import words
from shopbook.web.floor.blueprint import blueprint, floor_of_request
from shopbook.web.floor.colour import say_start
from shopbook.web.floor.forms import UsedForm, opened_days, used_form
from shopbook.web.floor.kept import form_stands
from shopbook.web.floor.spray import say_last
from shopbook.web.floor.work import my_clock, ran
from shopbook.web.parts import Act, Answer, Done, Presses, act_by_form, needs, now, reader, shop_now
from shopbook.web.parts.late import may_wait


@blueprint.route("/stages/<int:stage_id>", methods=["GET", "POST"])
@needs("floor", "work")
@may_wait("Done", form_stands)
def stage(stage_id: int) -> Answer:
    view = get_stage_view(reader(), stage_id, g.actor, now(), floor_of_request())
    form = used_form([mix for mix in view.mixes if not mix.is_made], view.pieces, view.lots)

    def finish(act: Act) -> Done:
        finish_stages(act, [stage_id], what_was_used(form, view))
        return Done(url_for("floor.work"), f"Done: {view.stage.name}.")

    return act_by_form(form, "floor/stage.html", finish, **_shown(view))


def _shown(view: StageView) -> dict[str, object]:
    mine = my_clock()
    ran_minutes = int((now() - view.since_at).total_seconds() // 60) if view.since_at else 0
    start = card_to_start_from(view.cards, view.job.vehicle_id)
    return {
        "view": view,
        "today": shop_now().day,
        "words": words,
        "ran": ran,
        "now": now(),
        "used_minutes": view.used_minutes + ran_minutes,
        "next_at": next_ready_at(view),
        "held": find_held(reader(), g.actor, view.stage, view.readiness, now(), floor_of_request()),
        "first_sentence": FIRST_SENTENCE,
        "say_record": say_last,
        "start_card": say_start(start, view.job) if start else "",
        "is_spray": bool(view.mixes) and any(not mix.is_by_weight for mix in view.mixes),
        "me": g.actor,
        "on_clock": mine,
        "may_add": view.since_at is None and bool(mine.stages) and not mine.besides(view.job.id),
    }


def what_was_used(form: UsedForm, view: StageView) -> Used:
    """What differs from the plan; a figure left as it was filled in counts as not touched."""
    mixes = {
        mix.code: instead for mix in view.mixes if not mix.is_made and (instead := _instead(form, mix)) is not None
    }
    uses = {
        piece.use_id: typed
        for piece in view.pieces
        if (typed := _typed(form, f"use_{piece.use_id}")) != piece.amount_thousandths
    }
    return Used(mixes, uses, opened_days(form))


def _instead(form: UsedForm, mix: PlannedMix) -> MixedInstead | None:
    total, left = _poured(form, mix), _typed(form, f"left_{mix.code}")
    if left > total:
        raise RuleBroken("More is left than was mixed. Correct one of the two.", f"left_{mix.code}")
    if total == mix.total_thousandths and not left:
        return None
    return MixedInstead(total, Left(left, is_kept=bool(form[f"kept_{mix.code}"].data)))


def _poured(form: UsedForm, mix: PlannedMix) -> int:
    """What was mixed: the scale reading, converted by the planned mix's own weight, comes before the typed amount."""
    weighed = _typed(form, f"scale_{mix.code}") if mix.weight_thousandths_g else 0
    if weighed and mix.weight_thousandths_g:
        return divide_half_away(weighed * mix.total_thousandths, mix.weight_thousandths_g)
    return _typed(form, f"mix_{mix.code}")


def _typed(form: UsedForm, name: str) -> int:
    """What was typed; an emptied field is zero."""
    return int(form[name].data or 0)


on_stage = Presses(blueprint, "floor", "work", lambda stage_id: url_for("floor.stage", stage_id=stage_id))
on_stage.add("/stages/<int:stage_id>/reopen", "reopen", reopen_stage, lambda opened: f"{opened.name} is open again.")
on_stage.add("/stages/<int:stage_id>/seen", "seen", see_dry, "Seen.", lambda stage_id: url_for("floor.work"))
