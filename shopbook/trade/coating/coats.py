"""Coats on the panel: how far each one is, and what a gauge reading says about what is underneath."""

from dataclasses import dataclass
from enum import StrEnum

from shopbook.trade.coating.film import um_from_mil
from shopbook.trade.errors import RuleBroken


class CoatState(StrEnum):
    """How far one coat is: sprayed and dry, sprayed and drying, or still to come."""

    LAID = "laid"
    WAITING = "waiting"
    TO_COME = "to_come"


REFINISH_UM = 170.0
TWICE_UM = 300.0
FILLER_UM = 600.0
BARE_UM = 20.0
"""µm of all coats: factory paint about 80 to 170, a refinish on it up to 300, more is a second refinish or a little
filler, over 600 filler. Common practice, 80 % sure; read beside an untouched panel of the same car.

Two notes for readers of gauges (search of 2026-11) have factory paint at 80 to 150 or 120 to 180, repaints at 300 to
500, and body work by 1000 µm: where a reading begins to mean filler is a matter of caution, and this is the careful
end."""


class Verdict(StrEnum):
    """What a gauge reading suggests."""

    THIN = "thin"
    FACTORY = "factory"
    REFINISHED = "refinished"
    TWICE = "twice"
    FILLER = "filler"


@dataclass(frozen=True, slots=True)
class FilmReading:
    """One spot: its µm, what it suggests, and a sentence."""

    spot: str
    um: float
    verdict: Verdict
    sentence: str


_SENTENCES = {
    Verdict.THIN: "hardly any paint: polished through or bare. Do not cut it any more.",
    Verdict.FACTORY: "factory paint.",
    Verdict.REFINISHED: "thicker than usual: repainted once, or thick factory paint.",
    Verdict.TWICE: "repainted twice, or a skim of filler. Consider stripping before you add more.",
    Verdict.FILLER: "filler underneath.",
}


def reading_says(value: float, unit: str = "um", spot: str = "") -> FilmReading:
    """What one gauge reading suggests; `unit` is "um" or "mil". RuleBroken for a wrong unit or no possible reading."""
    if unit not in {"um", "mil"}:
        raise RuleBroken("Choose µm or mil for the gauge.", "unit")
    um = um_from_mil(value) if unit == "mil" else value
    if not 0 <= um <= 25_000:
        raise RuleBroken("Enter a reading between 0 and 25,000 µm.", "value")
    verdict = _verdict(um)
    where = f"{spot}: " if spot else ""
    return FilmReading(spot, um, verdict, f"{where}{um:.0f} µm, {_SENTENCES[verdict]}")


def _verdict(um: float) -> Verdict:
    for limit, verdict in (
        (BARE_UM, Verdict.THIN),
        (REFINISH_UM, Verdict.FACTORY),
        (TWICE_UM, Verdict.REFINISHED),
        (FILLER_UM, Verdict.TWICE),
    ):
        if um <= limit:
            return verdict
    return Verdict.FILLER
