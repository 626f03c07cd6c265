"""Cautions by stage: what can hurt, what protects, and who must be asked; never a word that something is safe."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.catalogue.reading import own_catalogue
from shopbook.trade.errors import RuleBroken

FIRST_SENTENCE = (
    "The product's safety data sheet, local rules and licensed practice come first. This is only a reminder."
)
OWN = "own"
OWN_TITLE = "The shop’s own rule"


class Caution(StrEnum):
    """One kind of danger; its words stand in the catalogue's file."""

    DUST = "dust"
    VAPOUR_FIRE = "vapour_fire"
    ISOCYANATES = "isocyanates"
    NOISE = "noise"
    EYES = "eyes"
    SKIN = "skin"
    LIFTING = "lifting"
    JACKS_BATTERIES = "jacks_batteries"
    AIRBAGS = "airbags"
    HIGH_VOLTAGE = "high_voltage"
    DRIVER_AIDS = "driver_aids"
    COMPRESSED_AIR = "compressed_air"
    HEAT = "heat"
    ALLOY_DUST = "alloy_dust"


@dataclass(frozen=True, slots=True)
class CautionText:
    """A caution for a screen or a job card; `is_stop` when unqualified people must leave the work alone."""

    caution: str
    """Its code, or `OWN` for a line of the shop's."""
    title: str
    text: str
    is_stop: bool = False

    @property
    def reminder(self) -> str:
        """What stands in a line with others: its title, or the shop's own line whole."""
        return self.text if self.caution == OWN else self.title


def caution_text(caution: Caution, catalogue: Catalogue | None = None) -> CautionText:
    """One caution in the words of the catalogue's country; no shop edits it. Its title is the same in every country."""
    entry = (catalogue or own_catalogue()).cautions[caution]
    return CautionText(caution, entry.title, entry.text, entry.is_stop)


def in_order(
    codes: Iterable[str], own: Iterable[str] = (), catalogue: Catalogue | None = None
) -> tuple[CautionText, ...]:
    """Each caution's text once: those that stop the work, the shop's own lines, the others; unknown codes pass."""
    wanted = set(codes)
    texts = sorted(
        (caution_text(kind, catalogue) for kind in Caution if kind in wanted), key=lambda each: not each.is_stop
    )
    lines = (CautionText(OWN, OWN_TITLE, line) for line in dict.fromkeys(own) if line)
    stops = sum(each.is_stop for each in texts)
    return (*texts[:stops], *lines, *texts[stops:])


def refuse_lost(code: str, cautions: Iterable[str]) -> None:
    """RuleBroken where a stage would lose a caution that it has in the program's catalogue."""
    shipped = own_catalogue().stages.get(code)
    lost = [each for each in shipped.cautions if each not in set(cautions)] if shipped else []
    if lost:
        raise RuleBroken(
            f"“{own_catalogue().cautions[lost[0]].title}” stays on this stage: you can add to its cautions, not take "
            "one out.",
            "cautions",
        )
