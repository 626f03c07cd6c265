"""Plain makers for plans: a damage, a car, and a draft from the shipped catalogue."""

from collections.abc import Sequence

from shopbook.trade.catalogue.reading import own_catalogue
from shopbook.trade.planning.drafting import draft_plan
from shopbook.trade.planning.shapes import (
    Car,
    Choices,
    Conditions,
    DamageKind,
    DraftDamage,
    DraftPlan,
    DraftStage,
    Finish,
    SizeStep,
    Substrate,
)


def make_damage(
    number: int = 1, panel: str = "left_front_door", kind: DamageKind = DamageKind.DENT, **more
) -> DraftDamage:
    size = more.pop("size", SizeStep.M)
    return DraftDamage(number, panel, kind, size, **({"substrate": Substrate.STEEL} | more))


def draft(
    damages: Sequence[DraftDamage],
    car: Car | None = None,
    conditions: Conditions | None = None,
    choices: Choices | None = None,
) -> DraftPlan:
    return draft_plan(own_catalogue(), car or Car(Finish.SOLID), damages, conditions or Conditions(), choices)


def codes(plan: DraftPlan) -> list[str]:
    return [stage.code for stage in plan.stages]


def stage_of(plan: DraftPlan, code: str) -> DraftStage:
    (found,) = [stage for stage in plan.stages if stage.code == code]
    return found


def warned(plan: DraftPlan) -> set[str]:
    return {warning.code for warning in plan.warnings}
