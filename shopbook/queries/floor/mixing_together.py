"""A planned mix in another amount: in one of the shop's cups, or once for several stages and cars that need it."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.customers import Vehicle
from shopbook.models.jobs import Job, Stage, StageUse
from shopbook.queries.floor.mixes import roles_made
from shopbook.queries.jobs.mixes import PlannedMix, materials_of_uses, planned_mixes
from shopbook.queries.jobs.plans import get_stage
from shopbook.queries.shop.days import day_of
from shopbook.queries.shop.rates import catalogue_on
from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.coating.mixing import JointNeed, mix_together, round_up
from shopbook.trade.errors import NotFound

CUPS = ("cup_small_ml", "cup_medium_ml", "cup_large_ml", "cup_largest_ml")
"""The shop's cups among the figures of its catalogue."""


@dataclass(frozen=True, slots=True)
class Mate:
    """Another open stage that needs the same mix, in the same colour where it has one; thousandths of ml."""

    stage_id: int
    number: int
    name: str
    planned_thousandths: int


@dataclass(frozen=True, slots=True)
class MixFacts:
    """One planned mix of a stage, what of the shelf stands for each part, who could share it, and the shop's cups."""

    stage: Stage
    mix: PlannedMix
    material_ids: tuple[int | None, ...]
    mates: tuple[Mate, ...]
    cups: tuple[int, ...]
    """Sizes in thousandths of ml, the smallest first."""
    loss_thousandths: int
    """What of each mix stays in cup and gun."""

    def need_with(self, stage_ids: Iterable[int]) -> JointNeed:
        """What one mix for this stage and some of its mates must hold: the loss once, up to a step of the cup.

        For the stage alone it is the largest of its mixes: more at once would pass the pot life."""
        wanted = set(stage_ids)
        chosen = [mate for mate in self.mates if mate.stage_id in wanted]
        if not chosen:
            return JointNeed(max(self.mix.cups), 0, "")
        needs = {mate.stage_id: max(mate.planned_thousandths - self.loss_thousandths, 0) for mate in chosen}
        lost = self.loss_thousandths * len(self.mix.cups)
        needs[self.stage.id] = max(self.mix.total_thousandths - lost, 0)
        joint = mix_together({str(key): need for key, need in needs.items()}, self.loss_thousandths)
        return JointNeed(round_up(joint.wanted_thousandths), joint.saved_thousandths, joint.reason)


def _poured(mixes: Iterable[PlannedMix], code: str) -> PlannedMix:
    mix = next((each for each in mixes if each.code == code), None)
    if mix is None or mix.is_by_weight or mix.total_thousandths <= 0:
        raise NotFound("That stage has no such mix.")
    return mix


def get_mix_facts(session: Session, stage_id: int, code: str, now: datetime) -> MixFacts:
    """One poured mix of a stage by its code; NotFound where the stage has none such, or it is weighed."""
    stage = get_stage(session, stage_id)
    catalogue = catalogue_on(session, day_of(session, now))
    materials = materials_of_uses(session, [stage])
    made = roles_made(session, [stage.id]).get(stage.id, set())
    mix = _poured(planned_mixes(stage, materials, catalogue, made), code)
    uses = [use for use in stage.uses if use.mix == code]
    kind = catalogue.mixes.get(code)
    return MixFacts(
        stage=stage,
        mix=mix,
        material_ids=tuple(materials[use.id].id if use.id in materials else None for use in uses),
        mates=tuple(_mates(session, stage, code, is_coloured=any("colour" in use.role for use in uses))),
        cups=_cups(catalogue),
        loss_thousandths=kind.loss_ml * 1000 if kind else 0,
    )


def planned_by_stage(session: Session, stage_ids: Iterable[int]) -> dict[int, int]:
    """Thousandths of ml of everything mixed on these stages as planned, by stage id; one statement."""
    lines = session.execute(
        select(StageUse.stage_id, func.sum(StageUse.amount_thousandths))
        .where(StageUse.stage_id.in_(list(stage_ids)), StageUse.mix != "", StageUse.unit == "ml")
        .group_by(StageUse.stage_id)
    )
    return {key: int(total) for key, total in lines}


def _cups(catalogue: Catalogue) -> tuple[int, ...]:
    sizes = (catalogue.numbers[code].value for code in CUPS if code in catalogue.numbers)
    return tuple(sorted({round(size * 1000) for size in sizes if size > 0}))


def _mates(session: Session, stage: Stage, code: str, *, is_coloured: bool) -> list[Mate]:
    """Open stages of cars in the shop with the same mix, by job and place; one statement, one more for a colour."""
    asked = (
        select(Stage.id, Job.number, Stage.name, func.sum(StageUse.amount_thousandths))
        .join(Job, Job.id == Stage.job_id)
        .join(StageUse, StageUse.stage_id == Stage.id)
        .where(
            StageUse.mix == code,
            StageUse.unit == "ml",
            Stage.id != stage.id,
            Stage.struck_at.is_(None),
            Stage.finished_at.is_(None),
            Job.came_at.is_not(None),
            Job.handed_over_at.is_(None),
            Job.called_off_at.is_(None),
            Job.is_sample.is_(False),
        )
        .group_by(Stage.id, Job.number, Stage.name, Stage.position)
        .order_by(Job.number, Stage.position)
        .limit(20)
    )
    if is_coloured:
        own = session.execute(
            select(Vehicle.colour_code, Job.id).join(Job, Job.vehicle_id == Vehicle.id).where(Job.id == stage.job_id)
        ).first()
        same = Job.id == stage.job_id
        if own and own.colour_code:
            alike = select(Vehicle.id).where(Vehicle.colour_code == own.colour_code)
            same = same | Job.vehicle_id.in_(alike)
        asked = asked.where(same)
    return [Mate(key, number, name, int(planned)) for key, number, name, planned in session.execute(asked)]
