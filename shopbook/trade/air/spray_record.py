"""What was sprayed, so that the next job in the colour can start from it, and what a mixing record is missing."""

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date

from shopbook.trade.coating.colour_cards import VERDICT_WORDS, CardVerdict
from shopbook.trade.coating.paints import Paint
from shopbook.trade.errors import RuleBroken
from shopbook.trade.letters import lower_first
from shopbook.trade.measures.locales import write_list
from shopbook.trade.measures.units import say_air, say_degrees, say_distance


@dataclass(frozen=True, slots=True)
class Spraying:
    """One spraying as it was: colour, product, gun, air, lots and coats; None where not noted."""

    on: date
    colour_code: str
    paint: Paint
    coats: int
    tip_mm: float | None = None
    inlet_bar: float | None = None
    distance_cm: float | None = None
    temperature_c: float | None = None
    humidity_percent: float | None = None
    lots: tuple[str, ...] = ()
    note: str = ""
    overlap_percent: float | None = None
    variant: str = ""
    verdict: CardVerdict = CardVerdict.NOT_YET
    """What the spray-out card of its job said of the colour."""


_POSSIBLE = {
    "tip_mm": (0.2, 5.0, "Enter a tip size from 0.2 to 5 mm."),
    "inlet_bar": (0.1, 10.0, f"Enter inlet air from {say_air(0.1)} to {say_air(10)}."),
    "distance_cm": (2.0, 100.0, f"Enter a distance from {say_distance(2)} to {say_distance(100)}."),
    "overlap_percent": (1.0, 95.0, "Enter an overlap from 1 to 95 %."),
    "temperature_c": (-40.0, 60.0, f"Enter an air temperature from {say_degrees(-40)} to {say_degrees(60)}."),
    "humidity_percent": (0.0, 100.0, "Enter a humidity from 0 to 100 %."),
}


def check_record(record: Spraying) -> Spraying:
    """The record back, or RuleBroken beside the first figure that cannot be."""
    if not 1 <= record.coats <= 20:
        raise RuleBroken("Enter 1 to 20 coats.", "coats")
    for name, (low, high, sentence) in _POSSIBLE.items():
        value = getattr(record, name)
        if value is not None and (not math.isfinite(value) or not low <= value <= high):
            raise RuleBroken(sentence, name)
    return record


def say_record(record: Spraying, coat: str = "") -> str:
    """The record in one line, in both units where shops differ, what decides first: variant, which coat (`coat` in the
    words of the shop's country), gun, verdict: "Last time, 2026-03-02: variant 3, base, tip 1.3 mm, …, blend, …"."""
    gun = (
        (record.tip_mm, "tip {:g} mm".format),
        (record.inlet_bar, say_air),
        (record.distance_cm, say_distance),
        (record.overlap_percent, "overlap {:g} %".format),
    )
    air = (
        (record.coats, _coats),
        (record.temperature_c, say_degrees),
        (record.humidity_percent, "humidity {:g} %".format),
    )
    named = [f"variant {record.variant}" if record.variant else "", lower_first(coat)]
    verdict = [lower_first(VERDICT_WORDS[record.verdict])] if record.verdict else []
    told = [*filter(None, named), *_told(gun), *verdict, *_told(air)]
    if record.lots:
        told.append("batches " + write_list(record.lots))
    note = f" {record.note}" if record.note else ""
    return f"Last time, {record.on.isoformat()}: {', '.join(told)}.{note}"


def _told(figures: Iterable[tuple[float | None, Callable[[float], str]]]) -> list[str]:
    return [say(value) for value, say in figures if value is not None]


def _coats(coats: float) -> str:
    return f"{coats} coat" + ("s" if coats != 1 else "")


@dataclass(frozen=True, slots=True)
class MixedPart:
    """One part of a logged mix."""

    name: str
    maker: str
    number: str
    thousandths_ml: int | None


@dataclass(frozen=True, slots=True)
class MixRecord:
    """What a rule on mixing logs may ask to be written for each batch or job."""

    job: str
    on: date | None
    category: str
    voc_g_per_l: float | None
    parts: tuple[MixedPart, ...]


def list_missing(record: MixRecord) -> tuple[str, ...]:
    """What a mixing log would still want: job, day, category, VOC as supplied, and maker, number and quantity of each
    part.

    The list is that of 326 IAC 8-10-9 (Indiana), as one published measure of a full record; a shop's own rule decides.
    """
    missing = [
        words
        for words, is_there in (
            ("job", bool(record.job)),
            ("day", record.on is not None),
            ("coating category", bool(record.category)),
            ("VOC as supplied", record.voc_g_per_l is not None),
            ("parts", bool(record.parts)),
        )
        if not is_there
    ]
    for part in record.parts:
        lacks = [word for word in ("maker", "number") if not getattr(part, word)]
        lacks += ["quantity"] if part.thousandths_ml is None else []
        missing += [f"{word} of {part.name}" for word in lacks]
    return tuple(missing)


def _plain(code: str) -> str:
    return "".join(code.split()).casefold()
