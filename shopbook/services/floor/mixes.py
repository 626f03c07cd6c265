"""Mixes: poured once, taken off the shelf once, shared by stages of one or several jobs; the rest kept or wasted."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from sqlalchemy.orm import Session

from shopbook.models.floor import Mix, MixPart, MixShare
from shopbook.models.jobs import Stage
from shopbook.models.shelf import Material
from shopbook.queries.jobs.jobs import list_jobs_by_id
from shopbook.queries.jobs.plans import get_bare_stages
from shopbook.queries.shelf.materials import get_materials, materials_for_roles
from shopbook.services.act import Act
from shopbook.services.postings import Source, write_job_logs
from shopbook.services.shelf.materials import keep_pot
from shopbook.services.shelf.stock import draw_stock, waste_stock
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.amounts import share_out
from shopbook.trade.measures.quantities import LARGEST_THOUSANDTHS

LEFT_IN_THE_CUP = "left in the cup"


@dataclass(frozen=True, slots=True)
class Poured:
    """One material of a mix in thousandths of its unit: by the shelf's id where it is there, else by its role alone."""

    role: str
    amount_thousandths: int
    material_id: int | None = None


@dataclass(frozen=True, slots=True)
class Left:
    """What stays in the cup, in thousandths, and whether it is kept as a pot; else it is wasted."""

    amount_thousandths: int = 0
    is_kept: bool = False


NOTHING_LEFT = Left()


def make_mix(
    act: Act,
    name: str,
    parts: Sequence[Poured],
    shares: Sequence[tuple[int, int]],
    left: Left = NOTHING_LEFT,
    *,
    unit: str = "ml",
    is_assumed: bool = False,
) -> Mix:
    """Write one mix: `shares` are (stage id, thousandths) and with what is left come to what was poured, exactly.

    Each part leaves the shelf for the stages in proportion to their shares. What is left and kept is a pot at zero
    value, its cost on the stages; what is wasted leaves as waste, on no job. A part that is not on the shelf (paint
    mixed for this car) is noted and drawn from nowhere. RuleBroken for sums that do not agree.
    """
    total = sum(part.amount_thousandths for part in parts)
    _check(total, parts, shares, left)
    stages = get_bare_stages(act.session, [stage_id for stage_id, _ in shares])
    mix = Mix(
        name=name.strip()[:200] or "Mix",
        total_thousandths=total,
        left_thousandths=left.amount_thousandths,
        is_left_kept=left.is_kept and left.amount_thousandths > 0,
        is_assumed=is_assumed,
        at=act.moment,
        on=act.day,
        person_id=act.actor.person_id,
    )
    act.session.add(mix)
    act.session.flush()
    materials = _materials(act.session, parts)
    _write_lines(act.session, mix, parts, materials, shares)
    _draw_parts(act, mix, parts, materials, dict(zip(stages, (a for _, a in shares), strict=True)))
    if mix.is_left_kept:
        _keep_pot(act, mix, stages, unit)
    write_job_logs(act, "make_mix", "mix", mix.id, f"Mixed {mix.name}", {stage.job_id for stage in stages})
    return mix


def _check(total: int, parts: Sequence[Poured], shares: Sequence[tuple[int, int]], left: Left) -> None:
    taken = [amount for _, amount in shares]
    _check_amounts(total, [*(part.amount_thousandths for part in parts), *taken, left.amount_thousandths])
    if left.amount_thousandths > total:
        raise RuleBroken("More is left than was mixed. Correct one of the two.", "left")
    if not shares or len({stage_id for stage_id, _ in shares}) != len(shares):
        raise RuleBroken("Enter an amount once for each stage.", "stages")
    if sum(taken) + left.amount_thousandths != total:
        raise RuleBroken("The amounts and what is left do not add up to the mix. Correct one of them.", "stages")


def _check_amounts(total: int, amounts: Sequence[int]) -> None:
    if min(amounts) < 0:
        raise RuleBroken("An amount cannot be below zero.", "amount")
    if total <= 0:
        raise RuleBroken("Enter how much was mixed.", "amount")
    if total > LARGEST_THOUSANDTHS:
        raise RuleBroken("That quantity is too large. Check the figure.", "amount")


def _materials(session: Session, parts: Sequence[Poured]) -> list[Material | None]:
    by_role = materials_for_roles(session, [part.role for part in parts if part.material_id is None])
    by_id = get_materials(session, [part.material_id for part in parts if part.material_id is not None])
    return [by_role.get(part.role) if part.material_id is None else by_id[part.material_id] for part in parts]


def _write_lines(
    session: Session,
    mix: Mix,
    parts: Sequence[Poured],
    materials: Sequence[Material | None],
    shares: Sequence[tuple[int, int]],
) -> None:
    session.add_all(
        MixPart(
            mix_id=mix.id,
            material_id=material.id if material else None,
            role=part.role,
            amount_thousandths=part.amount_thousandths,
        )
        for part, material in zip(parts, materials, strict=True)
    )
    session.add_all(MixShare(mix_id=mix.id, stage_id=key, amount_thousandths=amount) for key, amount in shares)
    session.flush()


def _draw_parts(
    act: Act,
    mix: Mix,
    parts: Sequence[Poured],
    materials: Sequence[Material | None],
    shares: Mapping[Stage, int],
) -> None:
    wasted = 0 if mix.is_left_kept else mix.left_thousandths
    weights = [part.amount_thousandths for part in parts]
    for part, material, lost in zip(parts, materials, share_out(wasted, weights), strict=True):
        if material is None:
            continue
        for stage, amount in zip(shares, share_out(part.amount_thousandths - lost, list(shares.values())), strict=True):
            source = Source(job_id=stage.job_id, stage_id=stage.id, mix_id=mix.id, is_assumed=mix.is_assumed)
            draw_stock(act, material, amount, source)
        if lost > 0:
            waste_stock(act, material, lost, Source(mix_id=mix.id), cause=LEFT_IN_THE_CUP)


def _keep_pot(act: Act, mix: Mix, stages: Sequence[Stage], unit: str) -> None:
    jobs = list_jobs_by_id(act.session, {stage.job_id for stage in stages})
    job = next(iter(jobs.values())) if len(jobs) == 1 else None
    keep_pot(
        act,
        name=mix.name,
        amount_thousandths=mix.left_thousandths,
        unit=unit,
        job_id=job.id if job else None,
        colour_code=(job.vehicle.colour_code if job and job.vehicle else "") or "",
    )
