"""Two ways beside each other: repair or replace as wholes, and the same plan under other conditions."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.planning.shapes import Car, Choices, Conditions, Damage, Draft, Skill


@dataclass(frozen=True, slots=True)
class Rates:
    """Money by the hour: labour by skill, and materials for each paint hour; minor units."""

    labour_minor: Mapping[Skill, int]
    materials_minor: int


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


@dataclass(frozen=True, slots=True)
class Difference:
    """What a change does: man-minutes, ml by mix, minutes until finished (work and waits), warnings come and gone."""

    before: Draft
    after: Draft
    minutes: int
    ml_by_mix: Mapping[str, int]
    finish_minutes: int
    sentences: tuple[str, ...]


def repair_or_replace(
    catalogue: Catalogue,
    car: Car,
    damages: Sequence[Damage],
    conditions: Conditions,
    rates: Rates,
    part_minor: int,
    choices: Choices | None = None,
) -> Comparison:
    """Both wholes for the one panel that all `damages` are on."""
    raise NotImplementedError


def elapsed_minutes(draft: Draft) -> int:
    """Minutes from the first press to the last, one pair of hands a skill, waits included, round the clock."""
    raise NotImplementedError


def what_if(
    catalogue: Catalogue,
    car: Car,
    damages: Sequence[Damage],
    conditions: Conditions,
    change: Change,
    choices: Choices | None = None,
) -> Difference:
    """The plan drafted twice, as it is and as `change` would have it."""
    raise NotImplementedError
