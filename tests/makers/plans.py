"""Plain makers for plans: a damage, a car, and a draft from the shipped catalogue."""

from collections.abc import Sequence

from shopbook.trade.catalogue.reading import own_catalogue
from shopbook.trade.planning.drafting import draft_plan
from shopbook.trade.planning.shapes import (
    Car,
    Choices,
    Conditions,
    Damage,
    DamageKind,
    Draft,
    DraftStage,
    Finish,
    SizeStep,
    Substrate,
)


def make_damage(number: int = 1, panel: str = "left_front_door", kind: DamageKind = DamageKind.DENT, **more) -> Damage:
    size = more.pop("size", SizeStep.M)
    return Damage(number, panel, kind, size, **({"substrate": Substrate.STEEL} | more))


def draft(
    damages: Sequence[Damage],
    car: Car | None = None,
    conditions: Conditions | None = None,
    choices: Choices | None = None,
) -> Draft:
    return draft_plan(own_catalogue(), car or Car(Finish.SOLID), damages, conditions or Conditions(), choices)


def codes(plan: Draft) -> list[str]:
    return [stage.code for stage in plan.stages]


def stage_of(plan: Draft, code: str) -> DraftStage:
    (found,) = [stage for stage in plan.stages if stage.code == code]
    return found


def warned(plan: Draft) -> set[str]:
    return {warning.code for warning in plan.warnings}
