"""What a stage uses is changed: a whole mix, one part alone, a material added or removed; each leaves a version."""

from collections.abc import Iterable
from typing import Any

from sqlalchemy.orm import Session

from shopbook.models.jobs import Job, Stage, StageUse
from shopbook.queries.jobs.mixes import materials_of_uses, pourings_of, use_name, uses_by_mix
from shopbook.queries.jobs.planning import planning_of
from shopbook.queries.jobs.plans import get_stage
from shopbook.queries.shelf.materials import get_material
from shopbook.services.act import Act
from shopbook.services.jobs.history import OWN_ROLE, keep_known
from shopbook.services.jobs.plans import job_to_change, keep_change
from shopbook.services.jobs.writing import guess_cost
from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.coating.pouring import Pouring
from shopbook.trade.errors import NotFound, RuleBroken
from shopbook.trade.measures.quantities import LARGEST_THOUSANDTHS, format_quantity
from shopbook.trade.measures.units import Unit
from shopbook.trade.planning.remixing import MixChange, remix, steps_of
from shopbook.trade.planning.work import DraftBasis, plan_panels

ADDED = "added by hand"
"""The reason beside a material that no draft put there."""


def change_mix(
    act: Act, stage_id: int, code: str, change: MixChange, why: str = "", version: int | None = None
) -> Stage:
    """Change a planned mix as a whole: total, ratio, coats, area; its parts follow, to what cup and scale show.

    RuleBroken for a stage that is done, an impossible figure, and fewer coats of an approved stage without a reason.
    """
    stage = get_stage(act.session, stage_id)
    job = job_to_change(act.session, stage, version)
    keep_known(act, job)
    uses = uses_by_mix(stage).get(code)
    if not uses:
        raise NotFound("That stage has no such mix. Look at the plan again.")
    told: dict[str, Any] = next((each for each in stage.mixes if each["code"] == code), {"code": code})
    _want_reason(stage, told.get("coats"), change, why)
    basis = _basis(act, job)
    was = _named(act.session, stage, basis.catalogue)[code]
    done = remix(basis, told, was, change)
    for use, amount in zip(uses, done.parts_thousandths, strict=True):
        _set_amount(basis.catalogue, use, amount)
    stage.mixes = [dict(done.told) if each is told else each for each in stage.mixes]
    if change.coats is not None and told.get("coats"):
        stage.steps = steps_of(stage.steps, str(told.get("name", "")), int(told["coats"]), change.coats)
    words = _mix_words(str(told.get("name") or code), was, _named(act.session, stage, basis.catalogue)[code])
    keep_change(act, job, stage, "change_mix", ": ".join(filter(None, (words, why.strip()))))
    return stage


def _want_reason(stage: Stage, was_coats: Any, change: MixChange, why: str) -> None:
    """`was_coats` as the mix is kept, as JSON: a whole number, or nothing."""
    is_fewer = change.coats is not None and was_coats is not None and change.coats < was_coats
    if is_fewer and stage.agreed_at is not None and not why.strip():
        raise RuleBroken("This stage is already approved. Enter the reason for fewer coats.", "why")


def change_use(
    act: Act,
    use_id: int,
    *,
    amount_thousandths: int | None = None,
    material_id: int | None = None,
) -> StageUse:
    """Change how much a stage is to use, or of which material; a part of a mix alone changes the ratio it states.

    RuleBroken below zero or once the stage is done.
    """
    use, stage, job = _to_change(act, use_id)
    catalogue = planning_of(act.session, job, act.moment).catalogue
    was = _named(act.session, stage, catalogue).get(use.mix)
    if amount_thousandths is not None and amount_thousandths != use.amount_thousandths:
        _set_amount(catalogue, use, amount_thousandths)
    if material_id is not None:
        use.material_id, use.is_touched = material_id, True
    words = f"Changed the materials of {stage.name}"
    if was is not None:
        words = _mix_words(stage.name, was, _named(act.session, stage, catalogue)[use.mix])
    keep_change(act, job, stage, "change_use", words)
    return use


def add_use(
    act: Act, stage_id: int, material_id: int, amount_thousandths: int, *, mix: str = "", why: str = ""
) -> StageUse:
    """Add a material of the shelf to a stage, or to one of its mixes as its last part.

    RuleBroken for an amount of nothing, a material that is there already, or one that this mix cannot hold.
    """
    stage = get_stage(act.session, stage_id)
    job = job_to_change(act.session, stage)
    material = get_material(act.session, material_id)
    if any(use.material_id == material.id and use.mix == mix for use in stage.uses):
        raise RuleBroken(f"{material.name} is there already. Change its amount.", "material")
    if mix and mix not in uses_by_mix(stage):
        raise NotFound("That stage has no such mix. Look at the plan again.")
    if mix and Unit(uses_by_mix(stage)[mix][0].unit).kind is not Unit(material.unit).kind:
        raise RuleBroken("This mix is measured otherwise. Choose no mix, or another material.", "mix")
    use = StageUse(
        stage_id=stage.id,
        role=material.role or f"{OWN_ROLE}{material.id}",
        material_id=material.id,
        unit=material.unit,
        way=material.way,
        amount_thousandths=0,
        mix=mix,
        is_touched=True,
        reason=ADDED,
    )
    if amount_thousandths <= 0:
        raise RuleBroken("Enter an amount above zero, for example 50.", "amount")
    _set_amount(planning_of(act.session, job, act.moment).catalogue, use, amount_thousandths)
    act.session.add(use)
    _read_anew(act.session, stage)
    amount = format_quantity(amount_thousandths, Unit(material.unit))
    words = f"Added {amount} {material.name} to {stage.name}"
    keep_change(act, job, stage, "add_use", ": ".join(filter(None, (words, why.strip()))))
    return use


def remove_use(act: Act, use_id: int) -> Stage:
    """Take a material out of a stage; the others stay as they are, also when the plan is drafted again."""
    use, stage, job = _to_change(act, use_id)
    named = use_name(use, materials_of_uses(act.session, [stage]), planning_of(act.session, job, act.moment).catalogue)
    others = [each for each in stage.uses if each.id != use.id]
    for each in others:
        each.is_touched = True
    if not others:
        stage.is_touched = True
    act.session.delete(use)
    _read_anew(act.session, stage)
    keep_change(act, job, stage, "remove_use", f"Removed {named} from {stage.name}")
    return stage


def _to_change(act: Act, use_id: int) -> tuple[StageUse, Stage, Job]:
    use = act.session.get(StageUse, use_id)
    if use is None:
        raise NotFound("That material is not in the plan. Look at the plan again.")
    stage = get_stage(act.session, use.stage_id)
    job = job_to_change(act.session, stage)
    keep_known(act, job)
    return use, stage, job


def _read_anew(session: Session, stage: Stage) -> None:
    # Written before it is read back with the version: a use that came or went is not in what was loaded.
    session.flush()
    session.expire(stage, ["uses"])


def _set_amount(catalogue: Catalogue, use: StageUse, amount: int) -> None:
    if not 0 <= amount <= LARGEST_THOUSANDTHS:
        raise RuleBroken("Enter an amount of zero or more.", "amount")
    use.amount_thousandths, use.is_touched = amount, True
    # The guess of its cost was made for the amount before.
    use.guess_cost_minor = guess_cost(catalogue, use.role, amount)


def _basis(act: Act, job: Job) -> DraftBasis:
    """What the plan of this job is drafted from on the day whose standards count."""
    found = planning_of(act.session, job, act.moment)
    panels = plan_panels(found.catalogue, found.damages, found.choices)
    return DraftBasis(found.catalogue, found.car, found.conditions, found.choices, panels)


def _named(session: Session, stage: Stage, catalogue: Catalogue) -> dict[str, Pouring]:
    materials = materials_of_uses(session, [stage])
    return pourings_of(stage, lambda use: use_name(use, materials, catalogue))


def _mix_words(name: str, was: Pouring, now: Pouring) -> str:
    """A mix before and after, with what to look at: "Clear: 600 ml 2 : 1, now 577 ml 2 : 0.885"."""
    return " ".join([f"{name}: {_say(was)}, now {_say(now)}.", *_new(now.warnings, was.warnings)]).strip()


def _new(now: Iterable[str], was: Iterable[str]) -> list[str]:
    old = set(was)
    return [said for said in now if said not in old]


def _say(pouring: Pouring) -> str:
    amount = format_quantity(pouring.total_thousandths, Unit.G if pouring.is_by_weight else Unit.ML)
    return f"{amount} {pouring.true_ratio}".strip()
