"""A mix poured by hand for one stage, or once for several stages and cars."""

from collections.abc import Mapping, Sequence

from flask import g, request, url_for
from sqlalchemy.orm import Session

from shopbook.queries.floor.day import list_choices
from shopbook.queries.floor.mixing_together import get_mix_facts, planned_by_stage
from shopbook.queries.floor.stage import lots_of_stage
from shopbook.queries.jobs.plans import get_stage
from shopbook.queries.shelf.lots import LiveLot
from shopbook.queries.shelf.materials import get_material, list_materials
from shopbook.services.floor.mixes import Left, Poured, make_mix
from shopbook.services.shelf.lots import note_opened
from shopbook.trade.coating.mixing import share_mix
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.quantities import LARGEST_THOUSANDTHS
from shopbook.trade.measures.units import Kind, Unit
from shopbook.web.floor.blueprint import blueprint
from shopbook.web.floor.forms import MixForm, mix_form, opened_days
from shopbook.web.floor.kept import stage_stands
from shopbook.web.parts import Act, Answer, Done, act_by_form, choices, needs, now, reader, shop_now
from shopbook.web.parts.keys import as_key, key_or_none
from shopbook.web.parts.late import may_wait


@blueprint.route("/stages/<int:stage_id>/mix", methods=["GET", "POST"])
@needs("floor", "work")
@may_wait("Record a mix", stage_stands)
def mix(stage_id: int) -> Answer:
    stage = get_stage(reader(), stage_id)
    lots = lots_of_stage(reader(), stage, shop_now().day)
    form = _begun(stage_id, lots)
    stages = _fill(form, stage_id)

    def pour(act: Act) -> Done:
        parts = _parts(act.session, form)
        left = Left(form.left.data or 0, is_kept=bool(form.is_kept.data))
        shares = _shares(act.session, form, stage_id, sum(part.amount_thousandths for part in parts), left)
        for lot_id, on in opened_days(form).items():
            note_opened(act, lot_id, on)
        make_mix(act, form.name.data or "", parts, shares, left)
        return Done(url_for("floor.stage", stage_id=stage_id), "Saved, and taken off the shelf.")

    return act_by_form(
        form, "floor/mix.html", pour, stage=stage, stages=stages, lots=lots, today=shop_now().day, me=g.actor
    )


def _begun(stage_id: int, lots: Sequence[LiveLot]) -> MixForm:
    """The form empty, or as a planned mix was just scaled: its parts filled in, and the stages that share it ticked."""
    code = request.args.get("code", "")
    if request.method != "GET" or not code:
        return mix_form(lots)
    facts = get_mix_facts(reader(), stage_id, code, now())
    total = request.args.get("amount", facts.mix.total_thousandths, type=as_key) or facts.mix.total_thousandths
    whole_ml = max(min(total, LARGEST_THOUSANDTHS) // 1000, 1)
    poured = zip(facts.material_ids, facts.mix.pouring.parts(whole_ml), strict=True)
    return mix_form(
        lots,
        {
            "name": facts.mix.name,
            "parts": [{"material": str(key or 0), "amount": ml * 1000} for key, ml in poured],
        },
    )


def _fill(form: MixForm, stage_id: int) -> dict[str, str]:
    """Set the choices of the materials, and a row for each stage that could share the mix, this one first."""
    poured = {
        str(one.id): one.name
        for one in list_materials(reader())
        if one.way == "measured" and Unit(one.unit).kind is Kind.VOLUME
    }
    for part in form.parts:
        part.form.material.choices = choices({"": "Nothing", **poured, "0": "Paint mixed for this car"})
    found = {str(each.stage_id): each.words for each in list_choices(reader(), shop_now().day)}
    if not form.shares.entries:
        _offer_shares(form, str(stage_id), found)
    return found


def _offer_shares(form: MixForm, here: str, found: Mapping[str, str]) -> None:
    """A row for each stage with a mix of its own, ticked where several are mixed at once."""
    mixing = planned_by_stage(reader(), [int(key) for key in found])
    wanted = [key for key in found if int(key) in mixing or key == here]
    ticked = request.args.getlist("together")
    order = sorted(wanted, key=lambda key: (key != here, key not in ticked))
    for key in order[:20]:
        form.shares.append_entry({"stage": key, "is_on": bool(ticked) and key in {*ticked, here}})


def _parts(session: Session, form: MixForm) -> list[Poured]:
    parts = []
    for line in form.parts:
        key, amount = line.form.material.data or "", line.form.amount.data or 0
        if not key and not amount:
            continue
        if not key.isdecimal() or len(key) > 9:
            raise RuleBroken("Choose the material for each amount.", "parts")
        if key == "0":
            parts.append(Poured("colour", amount))
        else:
            material = get_material(session, int(key))
            parts.append(Poured(material.role, amount, material.id))
    return parts


def _shares(session: Session, form: MixForm, stage_id: int, made: int, left: Left) -> list[tuple[int, int]]:
    """What each stage used: as typed; else by plan among those ticked; else all of it on the stage of the page."""
    lines = [(key, line.form) for line in form.shares if (key := key_or_none(line.form.stage.data)) is not None]
    if typed := [(key, line.amount.data) for key, line in lines if line.amount.data]:
        return typed
    ticked = [key for key, line in lines if line.is_on.data]
    if not ticked:
        return [(stage_id, made - left.amount_thousandths)]
    planned = planned_by_stage(session, ticked)
    wanted = {str(key): max(planned.get(key, 0), 1) for key in ticked}
    taken = share_mix(made, left.amount_thousandths, wanted).taken_thousandths
    return list(zip(map(int, taken), taken.values(), strict=True))
