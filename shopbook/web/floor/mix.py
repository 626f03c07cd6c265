"""A mix poured by hand for one stage, or once for several stages and cars."""

from datetime import datetime
from typing import Any

from flask import g, url_for
from sqlalchemy.orm import Session

from shopbook.queries.floor.day import list_choices
from shopbook.queries.jobs.plans import get_stage
from shopbook.queries.shelf.materials import get_material, list_materials
from shopbook.queries.shop.days import day_of
from shopbook.services.floor.mixes import Left, Poured, make_mix
from shopbook.trade.errors import RuleBroken
from shopbook.trade.permissions import Actor
from shopbook.trade.quantities import Kind, Unit
from shopbook.web.floor.blueprint import blueprint
from shopbook.web.floor.forms import MixForm
from shopbook.web.parts.act import Done, act_by_form, now, reader
from shopbook.web.parts.forms import choices
from shopbook.web.parts.guards import needs
from shopbook.web.parts.keys import key_or_none


@blueprint.route("/stages/<int:stage_id>/mix", methods=["GET", "POST"])
@needs("floor", "work")
def mix(stage_id: int) -> Any:
    stage = get_stage(reader(), stage_id)
    form = MixForm()
    stages = _fill(form, stage_id)

    def pour(session: Session, actor: Actor, moment: datetime) -> Done:
        parts = _parts(session, form)
        left = Left(form.left.data or 0, is_kept=bool(form.is_kept.data))
        shares = _shares(form, stage_id, sum(part.amount_thousandths for part in parts) - left.amount_thousandths)
        make_mix(session, actor, moment, form.name.data or "", parts, shares, left)
        return Done(url_for("floor.stage", stage_id=stage_id), "Mixed, and taken from the shelf.")

    return act_by_form(form, "floor/mix.html", pour, stage=stage, stages=stages, me=g.actor)


def _fill(form: MixForm, stage_id: int) -> dict[str, str]:
    """Set the choices of the materials, and a row for each stage that could take of the mix, this one first."""
    poured = {
        str(one.id): one.name
        for one in list_materials(reader())
        if one.way == "measured" and Unit(one.unit).kind is Kind.VOLUME
    }
    for part in form.parts:
        part.form.material.choices = choices({"": "Nothing", **poured, "0": "Colour bought for the job"})
    found = {str(each.stage_id): each.words for each in list_choices(reader(), day_of(reader(), now()))}
    order = sorted(found, key=lambda key: key != str(stage_id))
    if not form.shares.entries:
        for key in order[:20]:
            form.shares.append_entry({"stage": key})
    return found


def _parts(session: Session, form: MixForm) -> list[Poured]:
    parts = []
    for line in form.parts:
        key, amount = line.form.material.data or "", line.form.amount.data or 0
        if not key and not amount:
            continue
        if not key.isdecimal() or len(key) > 9:
            raise RuleBroken("Say what that amount is of.", "parts")
        if key == "0":
            parts.append(Poured("colour", amount))
        else:
            material = get_material(session, int(key))
            parts.append(Poured(material.role, amount, material.id))
    return parts


def _shares(form: MixForm, stage_id: int, gone: int) -> list[tuple[int, int]]:
    """What each stage took; where nobody typed a share, all of it went onto the stage of the page."""
    typed = [
        (key, line.form.amount.data)
        for line in form.shares
        if line.form.amount.data and (key := key_or_none(line.form.stage.data)) is not None
    ]
    return typed or [(stage_id, gone)]
