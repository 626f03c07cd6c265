"""What is done on each panel, settled before any stage is written: methods, what is painted, what is blended."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from shopbook.trade.catalogue.entries import Catalogue, Panel
from shopbook.trade.catalogue.kinds import Substrate
from shopbook.trade.planning.asked import Plastic
from shopbook.trade.planning.methods import (
    KEEPS_PAINT,
    LAYS_BARE,
    DamageWork,
    Method,
    keeps_paint,
    plan_damage,
    substrate_of,
)
from shopbook.trade.planning.shapes import Car, Choices, Conditions, DraftDamage, Finish, PaintChoice

FLAKED = frozenset({Finish.METALLIC, Finish.PEARL, Finish.THREE_STAGE})


@dataclass(frozen=True, slots=True)
class PanelWork:
    """One panel: its damages with their methods, and whether it is painted, blended into, or new."""

    panel: Panel
    substrate: Substrate
    works: tuple[DamageWork, ...] = ()
    is_painted: bool = False
    is_blended_into: bool = False
    is_new: bool = False

    @property
    def code(self) -> str:
        """The panel's code."""
        return self.panel.code

    @property
    def is_refinished(self) -> bool:
        """Whether it gets clear: new paint over a repair, or colour running out into it."""
        return self.is_painted or self.is_blended_into

    @property
    def numbers(self) -> tuple[int, ...]:
        """Numbers of its damages."""
        return tuple(work.damage.number for work in self.works)

    def works_by(self, *methods: Method) -> tuple[DamageWork, ...]:
        """What is done on it in one way, or in one of several."""
        return tuple(work for work in self.works if work.method in methods)

    @property
    def primed(self) -> tuple[DamageWork, ...]:
        """The damages that are primed: painted ones, but for clear and marks that are only sanded."""
        skip = {*KEEPS_PAINT, Method.SAND_CLEAR, Method.SAND_IN}
        return tuple(work for work in self.works if self.is_painted and work.method not in skip)

    @property
    def primer_m2(self) -> float:
        """Area under primer surfacer, all damages, at most the panel."""
        return min(self.panel.area_m2, sum(work.areas.primer_m2 for work in self.primed))

    @property
    def bare_m2(self) -> float:
        """Area where the metal lies bare, at most the panel."""
        bare = (work.areas.feather_m2 for work in self.primed if work.method in LAYS_BARE)
        return min(self.panel.area_m2, sum(bare))

    @property
    def plastic(self) -> Plastic:
        """What it is moulded of, as far as its damages say."""
        said = (work.damage.plastic for work in self.works)
        return next((each for each in said if each is not Plastic.UNKNOWN), Plastic.UNKNOWN)

    @property
    def feather_m2(self) -> float:
        """Area laid bare and feathered, at most the panel."""
        return min(self.panel.area_m2, sum(work.areas.feather_m2 for work in self.primed))


@dataclass(frozen=True, slots=True)
class DraftBasis:
    """Everything a draft depends on, handed to whoever writes a stage."""

    catalogue: Catalogue
    car: Car
    conditions: Conditions
    choices: Choices
    panels: tuple[PanelWork, ...]

    @property
    def painted(self) -> tuple[PanelWork, ...]:
        """Panels with new paint over a repair."""
        return tuple(panel for panel in self.panels if panel.is_painted)

    @property
    def blended(self) -> tuple[PanelWork, ...]:
        """Neighbours into which colour runs out."""
        return tuple(panel for panel in self.panels if panel.is_blended_into)

    @property
    def finished(self) -> tuple[PanelWork, ...]:
        """Panels that get clear: painted and blended."""
        return (*self.painted, *self.blended)

    def number(self, code: str) -> float:
        """One figure of the catalogue."""
        return self.catalogue.numbers[code].value

    def say(self, sentence: str) -> str:
        """A sentence of ours in the words of the catalogue's country."""
        return self.catalogue.say(sentence)

    def inside_share(self, panel: PanelWork) -> float:
        """What a new part takes inside, as a share of its outside."""
        return self.number("part_inside_share") if panel.is_new else 0

    def is_on(self, stage: str) -> bool:
        """Whether the shop does this stage, and it was not left out here."""
        kind = self.catalogue.stages.get(stage)
        return kind is not None and kind.is_on and stage not in self.choices.left_out


def plan_panels(catalogue: Catalogue, damages: Sequence[DraftDamage], choices: Choices) -> tuple[PanelWork, ...]:
    """Panels in the catalogue's order, each with its damages by number, then the neighbours that are blended into."""
    hurt = _hurt_panels(catalogue, damages)
    painted = {code for code, panel in hurt.items() if panel.is_painted}
    blended = set(_neighbours(catalogue, list(hurt.values()), choices)) - painted
    found: list[PanelWork] = []
    for code, panel in catalogue.panels.items():
        if code in hurt:
            found.append(_blend_into(hurt[code]) if code in blended else hurt[code])
        elif code in blended:
            found.append(PanelWork(panel, panel.substrate, is_blended_into=True))
    return tuple(found)


def _hurt_panels(catalogue: Catalogue, damages: Sequence[DraftDamage]) -> dict[str, PanelWork]:
    """The panels with damage in the catalogue's order, by code."""
    hurt: dict[str, list[DraftDamage]] = {}
    for damage in sorted(damages, key=lambda each: each.number):
        hurt.setdefault(damage.panel, []).append(damage)
    return {code: _hurt_panel(catalogue, panel, hurt[code]) for code, panel in catalogue.panels.items() if code in hurt}


def _hurt_panel(catalogue: Catalogue, panel: Panel, said: Sequence[DraftDamage]) -> PanelWork:
    known = [damage.substrate for damage in said if damage.substrate is not Substrate.UNKNOWN]
    damages = [replace(damage, substrate=known[0]) for damage in said] if known else said
    is_painted = any(not keeps_paint(catalogue, panel, damage) for damage in damages)
    works = tuple(plan_damage(catalogue, panel, damage, is_panel_painted=is_painted) for damage in damages)
    return PanelWork(panel, substrate_of(panel, damages[0]), works, is_painted=is_painted)


def _blend_into(own: PanelWork) -> PanelWork:
    return PanelWork(own.panel, own.substrate, own.works, is_blended_into=True)


def touching(catalogue: Catalogue, code: str) -> tuple[str, ...]:
    """The panels that touch one, its own neighbours first, then those that name it: a wing touches the bonnet too."""
    named = [other.code for other in catalogue.panels.values() if code in other.neighbours]
    return tuple(dict.fromkeys([*catalogue.panels[code].neighbours, *named]))


def blend_panels(own: PanelWork) -> set[str]:
    """The panels that a panel's colour fades out into: those chosen one by one, else those that its entry names."""
    return {code for work in own.works for code in work.damage.blend_into} or set(own.panel.neighbours)


def _neighbours(catalogue: Catalogue, panels: Sequence[PanelWork], choices: Choices) -> set[str]:
    found: set[str] = set()
    for own in panels:
        asked = any(work.damage.paint is PaintChoice.BLEND for work in own.works)
        if own.is_painted and (asked if choices.is_blended is None else choices.is_blended):
            found |= blend_panels(own) & set(catalogue.panels)
    return found
