"""Solvent waste by weight against the federal classes of generators, and the dated papers a spray shop keeps."""

import calendar
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from shopbook.trade.air.voc import DEFERS
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.amounts import divide_half_away

ON_TOP = "Solvent only. Filters, rags and sludge are extra."

VERY_SMALL_MOST_G = 100_000
"""40 CFR 262.14: a very small generator makes 100 kg a month or less."""

SMALL_UNDER_G = 1_000_000
"""40 CFR 262.16: a small generator makes more than 100 and under 1,000 kg a month."""

VERY_SMALL_HELD_G = 1_000_000
SMALL_HELD_G = 6_000_000
"""Grams that may be held at any time, 40 CFR 262.14 and 262.16; a small generator at most 180 days."""


class GeneratorClass(StrEnum):
    """The federal class by kilograms of all hazardous waste made in a month."""

    VERY_SMALL = "very_small"
    SMALL = "small"
    LARGE = "large"


@dataclass(frozen=True, slots=True)
class WasteFigure:
    """Grams of solvent waste in a month, the class they alone would fall in, and sentences to show with them."""

    grams: int
    solvent_alone: GeneratorClass
    sentences: tuple[str, ...]


def waste_grams(volume_thousandths_ml: int, density_mg_per_ml: int) -> int:
    """Whole grams of so much waste liquid: thousandths of ml × mg/ml, rounded once, halves away from zero."""
    if volume_thousandths_ml < 0 or density_mg_per_ml <= 0:
        raise RuleBroken("Enter a waste volume of 0 or more and a density greater than zero.", "volume")
    return divide_half_away(volume_thousandths_ml * density_mg_per_ml, 1_000_000)


def class_of(grams_a_month: int) -> GeneratorClass:
    """The class that so many grams of all hazardous waste a month would fall in."""
    if grams_a_month <= VERY_SMALL_MOST_G:
        return GeneratorClass.VERY_SMALL
    return GeneratorClass.SMALL if grams_a_month < SMALL_UNDER_G else GeneratorClass.LARGE


def judge_month(solvent_grams: int, held_grams: int | None = None) -> WasteFigure:
    """A month's solvent beside the classes; `held_grams` is what stands in the shop now, if it is known."""
    found = class_of(solvent_grams)
    words = {
        GeneratorClass.VERY_SMALL: "at most 100 kg a month, the federal limit for a very small generator",
        GeneratorClass.SMALL: "more than 100 kg a month, where the federal rules for a small generator begin",
        GeneratorClass.LARGE: "1,000 kg a month or more, where the federal rules for a large generator begin",
    }[found]
    sentences = [f"{solvent_grams / 1000:.1f} kg of solvent waste alone is {words} (40 CFR 262).", ON_TOP]
    most_held = VERY_SMALL_HELD_G if found is GeneratorClass.VERY_SMALL else SMALL_HELD_G
    if held_grams is not None and held_grams > most_held:
        sentences.append(
            f"{held_grams / 1000:,.0f} kg is held, more than the {most_held // 1000:,} kg allowed in that class."
        )
    return WasteFigure(solvent_grams, found, (*sentences, DEFERS))


class PaperKind(StrEnum):
    """A dated paper that runs out."""

    PAINTER_TRAINING = "painter_training"
    MASK_FIT = "mask_fit"
    MASK_MEDICAL = "mask_medical"
    BOOTH_FILTERS = "booth_filters"
    SUPPLIED_AIR_TEST = "supplied_air_test"
    EXTINGUISHER = "extinguisher"
    WASTE_COLLECTION = "waste_collection"


PAPER_WORDS: Mapping[PaperKind, str] = {
    PaperKind.PAINTER_TRAINING: "painter training",
    PaperKind.MASK_FIT: "respirator fit test",
    PaperKind.MASK_MEDICAL: "respirator medical clearance",
    PaperKind.BOOTH_FILTERS: "booth filter change",
    PaperKind.SUPPLIED_AIR_TEST: "breathing air test",
    PaperKind.EXTINGUISHER: "fire extinguisher inspection",
    PaperKind.WASTE_COLLECTION: "waste collection",
}

RENEWED_MONTHS: Mapping[PaperKind, int] = {
    PaperKind.PAINTER_TRAINING: 60,
    PaperKind.MASK_FIT: 12,
    PaperKind.MASK_MEDICAL: 12,
    PaperKind.BOOTH_FILTERS: 3,
    PaperKind.SUPPLIED_AIR_TEST: 3,
    PaperKind.EXTINGUISHER: 12,
    PaperKind.WASTE_COLLECTION: 6,
}
"""Training at least every five years: 40 CFR 63.11173(g). Fit test yearly: 29 CFR 1910.134(f)(2), from memory.
Extinguisher yearly: 29 CFR 1910.157(e)(3), from memory. The rest are common practice; the shop sets its own."""


@dataclass(frozen=True, slots=True)
class PaperToRenew:
    """One paper: its kind, whose or which, the day it was last made, and after how many months it is made again.

    None for the months usual for its kind.
    """

    kind: PaperKind
    of: str
    last_on: date
    months: int | None = None
    key: int | None = None
    """Its row in the book, where it has one."""


@dataclass(frozen=True, slots=True)
class PaperDue:
    """A paper, the day it runs out, and days left on the day asked about (below zero when it has run out)."""

    paper: PaperToRenew
    due_on: date
    days_left: int


def add_months(day: date, months: int) -> date:
    """The same day so many months on, or the month's last where there is none."""
    years, month = divmod(day.month - 1 + months, 12)
    year = day.year + years
    return date(year, month + 1, min(day.day, calendar.monthrange(year, month + 1)[1]))


def list_due(
    papers: Iterable[PaperToRenew], day: date, renewed_months: Mapping[PaperKind, int] = RENEWED_MONTHS
) -> tuple[PaperDue, ...]:
    """Every paper with its days left on `day`, the most pressing first."""
    due = [(paper, add_months(paper.last_on, paper.months or renewed_months[paper.kind])) for paper in papers]
    dated = [PaperDue(paper, due_on, (due_on - day).days) for paper, due_on in due]
    return tuple(sorted(dated, key=lambda each: (each.days_left, each.paper.kind, each.paper.of)))
