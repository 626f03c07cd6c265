"""Done as planned: stages are finished, the clocks on them stop, and what they were planned to use leaves the shelf."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Stage, StageUse
from shopbook.models.shelf import Movement
from shopbook.queries.floor.clocks import find_running
from shopbook.queries.floor.mixes import roles_made
from shopbook.queries.jobs.plans import get_stages
from shopbook.queries.shelf.materials import get_material, materials_for_roles
from shopbook.queries.shelf.movements import STAGE_KINDS
from shopbook.services.act import Act
from shopbook.services.floor.clocks import close_overdue_clocks, leave_stages, person_of
from shopbook.services.floor.mixes import NOTHING_LEFT, Left, Poured, make_mix
from shopbook.services.jobs.doing import begin_stages, end_stages
from shopbook.services.postings import Source, write_log
from shopbook.services.shelf.lots import note_opened
from shopbook.services.shelf.stock import draw_stock
from shopbook.trade.catalogue.kinds import WayUsed
from shopbook.trade.coating.pouring import share_shown
from shopbook.trade.errors import RuleBroken
from shopbook.trade.letters import plain_code
from shopbook.trade.measures.amounts import share_out
from shopbook.trade.measures.quantities import LARGEST_THOUSANDTHS
from shopbook.trade.measures.units import Kind, Unit
from shopbook.trade.permissions import Actor


@dataclass(frozen=True, slots=True)
class MixedInstead:
    """What was really mixed in place of a planned mix, in thousandths; zero for a mix that was not made at all."""

    total_thousandths: int
    left: Left = NOTHING_LEFT


@dataclass(frozen=True, slots=True)
class Used:
    """What was used other than planned: mixes by their code, single uses by their id. Empty means as planned.

    `opened` are the days on which lots were opened that are used for the first time, by lot. Where nothing
    `is_mixed` the parts of a planned mix leave the shelf each by itself, and no mix is written.
    """

    mixes: Mapping[str, MixedInstead] = field(default_factory=dict)
    uses: Mapping[int, int] = field(default_factory=dict)
    opened: Mapping[int, date] = field(default_factory=dict)
    is_mixed: bool = True


AS_PLANNED = Used()
UNMIXED = Used(is_mixed=False)


def finish_stages(act: Act, stage_ids: Sequence[int] = (), used: Used = AS_PLANNED) -> list[Stage]:
    """Finish stages, by default those that the person's clock runs on; one press that means "as planned".

    Their clocks stop, everybody's; mixes and pieces are drawn as planned unless `used` says otherwise, and a figure
    that nobody touched is saved as assumed. What an earlier mix brought to a stage is not drawn again. RuleBroken for a
    stage that is done or removed, and for impossible amounts.
    """
    close_overdue_clocks(act.session, act.moment)
    wanted = list(dict.fromkeys(stage_ids)) or _clocked(act.session, act.actor)
    stages = get_stages(act.session, wanted)
    for stage in stages:
        if stage.finished_at is not None:
            raise RuleBroken(f"{stage.name} is done already.")
        if stage.struck_at is not None:
            raise RuleBroken(f"{stage.name} was removed from the plan.")
    leave_stages(act, wanted)
    for lot_id, on in used.opened.items():
        note_opened(act, lot_id, on)
    _draw(act, stages, used)
    begin_stages(act, [stage for stage in stages if stage.begun_at is None])
    end_stages(act, stages)
    _log(act, stages)
    return stages


def _log(act: Act, stages: Sequence[Stage]) -> None:
    for stage in stages:
        write_log(act, "finish_stages", "stage", stage.id, f"Finished {stage.name}", job_id=stage.job_id)


def _clocked(session: Session, actor: Actor) -> list[int]:
    running = find_running(session, person_of(actor))
    if running is None or not running.shares:
        raise RuleBroken("Your clock is not on a stage. Choose the one that is done.", "stages")
    return list(running.stage_ids)


def _draw(act: Act, stages: Sequence[Stage], used: Used) -> None:
    covered = _mixed_before(act.session, [stage.id for stage in stages])
    before = _drawn_before(act.session, [stage.id for stage in stages])
    groups: dict[str, list[tuple[Stage, StageUse]]] = {}
    for stage in stages:
        for use in stage.uses:
            if use.way == WayUsed.SHOP_SUPPLIES or (stage.id, use.role) in covered:
                continue
            if use.mix and used.is_mixed:
                groups.setdefault(use.mix, []).append((stage, use))
            else:
                _draw_one(act, stage, use, used.uses.get(use.id), before)
    for word, lines in groups.items():
        _draw_mix(act, word, lines, used.mixes.get(word))


def _mixed_before(session: Session, stage_ids: Sequence[int]) -> set[tuple[int, str]]:
    """(stage, role) of every part that a mix made by hand has brought to one of these stages already."""
    return {(stage_id, role) for stage_id, roles in roles_made(session, stage_ids).items() for role in roles}


def _draw_one(
    act: Act,
    stage: Stage,
    use: StageUse,
    typed: int | None,
    before: dict[tuple[int, int], int],
) -> None:
    amount = use.amount_thousandths if typed is None else _possible(typed)
    material = (
        get_material(act.session, use.material_id)
        if use.material_id is not None
        else materials_for_roles(act.session, [use.role]).get(use.role)
    )
    if material is None:
        return
    key = (stage.id, material.id)
    had = min(amount, before.get(key, 0))
    before[key] = before.get(key, 0) - had
    source = Source(job_id=stage.job_id, stage_id=stage.id, is_assumed=typed is None)
    draw_stock(act, material, amount - had, source)


def _drawn_before(session: Session, stage_ids: Sequence[int]) -> dict[tuple[int, int], int]:
    """Thousandths that stages took outside mixes, by (stage, material): one that was opened again has them still."""
    lines = session.execute(
        select(Movement.stage_id, Movement.material_id, func.sum(Movement.quantity_thousandths))
        .where(Movement.stage_id.in_(stage_ids), Movement.mix_id.is_(None), Movement.kind.in_(STAGE_KINDS))
        .group_by(Movement.stage_id, Movement.material_id)
    )
    return {(stage_id, material_id): -int(taken) for stage_id, material_id, taken in lines if stage_id is not None}


def _draw_mix(
    act: Act,
    word: str,
    lines: Sequence[tuple[Stage, StageUse]],
    instead: MixedInstead | None,
) -> None:
    """One cup for all stages that are done together: planned parts added up, then scaled to what was mixed."""
    planned: dict[tuple[str, int | None], int] = {}
    by_stage: dict[int, int] = {}
    for stage, use in lines:
        part = (use.role, use.material_id)
        planned[part] = planned.get(part, 0) + use.amount_thousandths
        by_stage[stage.id] = by_stage.get(stage.id, 0) + use.amount_thousandths
    plan_total = sum(planned.values())
    total = plan_total if instead is None else _possible(instead.total_thousandths)
    left = NOTHING_LEFT if instead is None else instead.left
    if total == 0:
        return
    if left.amount_thousandths > total:
        raise RuleBroken("More is left than was mixed. Correct one of the two.", "left")
    is_by_weight = Unit(lines[0][1].unit).kind is Kind.MASS
    poured = share_shown(total, list(planned.values()), is_by_weight=is_by_weight)
    taken = share_out(total - left.amount_thousandths, list(by_stage.values()))
    make_mix(
        act,
        name_of_mix(lines[0][0], word),
        [Poured(role, amount, key) for (role, key), amount in zip(planned, poured, strict=True)],
        list(zip(by_stage, taken, strict=True)),
        left,
        unit=lines[0][1].unit,
        is_assumed=instead is None or (total == plan_total and not left.amount_thousandths),
    )


def name_of_mix(stage: Stage, word: str) -> str:
    """A planned mix's name as the plan has it, else its code as plain words."""
    names = {mix.get("code"): mix.get("name") for mix in stage.mixes}
    return str(names.get(word) or plain_code(word))


def _possible(amount: int) -> int:
    if amount < 0:
        raise RuleBroken("A quantity cannot be below zero.", "amount")
    if amount > LARGEST_THOUSANDTHS:
        raise RuleBroken("That quantity is too large. Check the figure.", "amount")
    return amount
