"""Two ways side by side: repair or replace as a whole, and the same plan under other conditions."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.catalogue.kinds import Fixing, Skill
from shopbook.trade.errors import RuleBroken
from shopbook.trade.floor.coat_waits import asked_of
from shopbook.trade.floor.hours import to_tenths
from shopbook.trade.measures.amounts import divide_half_away
from shopbook.trade.planning.coat_rows import draft_layers
from shopbook.trade.planning.draft_materials import PaintRates, draft_materials
from shopbook.trade.planning.drafting import draft_plan, draft_replacement
from shopbook.trade.planning.shapes import Car, Choices, Conditions, DraftDamage, DraftPlan, PaintChoice


@dataclass(frozen=True, slots=True)
class Rates:
    """Money by the hour: labour by skill in minor units, and how paint and materials are charged."""

    labour_minor: Mapping[Skill, int]
    materials: PaintRates


@dataclass(frozen=True, slots=True)
class Whole:
    """One way of doing it, whole: man-minutes, labour, materials, part; minor units, before tax."""

    name: str
    minutes: int
    labour_minor: int
    materials_minor: int
    part_minor: int
    reasons: tuple[str, ...]

    @property
    def total_minor(self) -> int:
        """All of it."""
        return self.labour_minor + self.materials_minor + self.part_minor


@dataclass(frozen=True, slots=True)
class Comparison:
    """Repair beside replace; `is_hint` where the panel is welded and the sum of replacing is not ours to give."""

    repair: Whole
    replace: Whole
    is_hint: bool
    sentence: str


@dataclass(frozen=True, slots=True)
class Change:
    """What is asked "what if" of; None leaves it as it is."""

    temperature_c: float | None = None
    humidity: float | None = None
    has_lamp: bool | None = None
    base_coats: int | None = None
    clear_coats: int | None = None
    is_blended: bool | None = None
    is_surfacer_for_build: bool | None = None


@dataclass(frozen=True, slots=True)
class Difference:
    """What a change does: man-minutes, ml by mix, and minutes until finished, all after less before.

    `sentences` are the warnings that come ("now: ...") and go ("no longer: ..."), and mixes of another ratio.
    """

    before: DraftPlan
    after: DraftPlan
    minutes: int
    ml_by_mix: Mapping[str, int]
    finish_minutes: int
    sentences: tuple[str, ...]


def repair_or_replace(
    catalogue: Catalogue,
    car: Car,
    damages: Sequence[DraftDamage],
    conditions: Conditions,
    rates: Rates,
    part_minor: int,
    choices: Choices | None = None,
) -> Comparison:
    """Both wholes for the one panel that all `damages` are on: hours, labour, materials and the part, blend alike.

    Raises RuleBroken where damages lie on several panels, or the part costs less than nothing.
    """
    if len({damage.panel for damage in damages}) != 1:
        raise RuleBroken("Compare repair and replacement for one panel at a time.", "panel")
    if part_minor < 0:
        raise RuleBroken("Enter zero or more as the price of the part.", "part")
    settled = choices or Choices()
    panel = catalogue.panels[damages[0].panel]
    mended = draft_plan(catalogue, car, damages, conditions, settled)
    asked = any(damage.paint is PaintChoice.BLEND for damage in damages)
    is_blended = asked if settled.is_blended is None else settled.is_blended
    renewed = draft_replacement(catalogue, car, panel.code, conditions, settled, is_blended=is_blended)
    repair = _whole("repair", mended, catalogue, rates, 0)
    new = _whole("replace", renewed, catalogue, rates, part_minor)
    is_hint = panel.fixing is Fixing.WELDED
    return Comparison(repair, new, is_hint, catalogue.say(_verdict(repair, new, is_hint=is_hint)))


def elapsed_minutes(draft: DraftPlan) -> int:
    """Minutes from the first press to the last, one pair of hands a skill, waits included, round the clock.

    A floor for the promise, not the promise: that counts opening hours and other cars.
    """
    free: dict[Skill, int] = {}
    ends: list[int] = []
    layers = draft_layers(draft)
    for stage, layer in zip(draft.stages, layers, strict=True):
        dry = [ends[each.layer.id] + each.wait.not_before_minutes for each in asked_of(layer, layers)]
        ready = max([*(ends[place] for place in stage.after), *dry], default=0)
        ends.append(max(ready, free.get(stage.skill, 0)) + stage.minutes + stage.flash_minutes)
        free[stage.skill] = ends[-1]
    return max(free.values(), default=0)


def what_if(
    catalogue: Catalogue,
    car: Car,
    damages: Sequence[DraftDamage],
    conditions: Conditions,
    change: Change,
    choices: Choices | None = None,
) -> Difference:
    """The plan drafted twice, as it is and as `change` would have it, and the difference in hours, ml and finish."""
    settled = choices or Choices()
    before = draft_plan(catalogue, car, damages, conditions, settled)
    weather = {name: getattr(change, name) for name in ("temperature_c", "humidity", "has_lamp")}
    chosen = ("base_coats", "clear_coats", "is_blended", "is_surfacer_for_build")
    coats = {name: getattr(change, name) for name in chosen}
    after = draft_plan(
        catalogue,
        car,
        damages,
        replace(conditions, **{name: value for name, value in weather.items() if value is not None}),
        replace(settled, **{name: value for name, value in coats.items() if value is not None}),
    )
    mixed_before, mixed_after = _ml(before), _ml(after)
    codes = dict.fromkeys((*mixed_before, *mixed_after))
    return Difference(
        before,
        after,
        after.minutes - before.minutes,
        {code: mixed_after.get(code, 0) - mixed_before.get(code, 0) for code in codes},
        elapsed_minutes(after) - elapsed_minutes(before),
        (*_come_and_gone(before, after), *_other_ratios(before, after)),
    )


def _whole(name: str, draft: DraftPlan, catalogue: Catalogue, rates: Rates, part_minor: int) -> Whole:
    by_skill = draft.minutes_by_skill
    labour = sum(
        divide_half_away(minutes * rates.labour_minor.get(skill, 0), 60) for skill, minutes in by_skill.items()
    )
    materials = draft_materials(draft, catalogue, rates.materials)
    reasons = tuple(f"{stage.name}: {to_tenths(stage.minutes)}" for stage in draft.stages)
    return Whole(name, draft.minutes, labour, materials, part_minor, reasons)


def _verdict(repair: Whole, new: Whole, *, is_hint: bool) -> str:
    if is_hint:
        return (
            "This panel is welded in. Replacing it follows the maker's method and is qualified people's work, so the "
            "total for replacing is only a rough guide."
        )
    if repair.total_minor == new.total_minor:
        return "Both cost the same, and a repair keeps the factory fit."
    cheaper, dearer = sorted((repair, new), key=lambda each: each.total_minor)
    share = divide_half_away((dearer.total_minor - cheaper.total_minor) * 100, max(1, dearer.total_minor))
    return f"To {cheaper.name} costs {share} % less than to {dearer.name}, counting parts, {{labour}} and paint."


def _ml(draft: DraftPlan) -> dict[str, int]:
    found: dict[str, int] = {}
    for stage in draft.stages:
        for mix in stage.mixes:
            found[mix.code] = found.get(mix.code, 0) + mix.total_ml
    return found


def _other_ratios(before: DraftPlan, after: DraftPlan) -> list[str]:
    """The same mix by another ratio: primer surfacer reduced less for build."""
    was, now = (
        {mix.code: mix for stage in draft.stages for mix in stage.mixes if ":" in mix.ratio}
        for draft in (before, after)
    )
    return [
        f"{mix.name} is mixed {mix.ratio} instead of {was[code].ratio}."
        for code, mix in now.items()
        if code in was and was[code].ratio != mix.ratio
    ]


def _come_and_gone(before: DraftPlan, after: DraftPlan) -> tuple[str, ...]:
    was = dict.fromkeys(warning.sentence for warning in before.warnings)
    now = dict.fromkeys(warning.sentence for warning in after.warnings)
    come = [f"now: {sentence}" for sentence in now if sentence not in was]
    return (*come, *(f"no longer: {sentence}" for sentence in was if sentence not in now))
