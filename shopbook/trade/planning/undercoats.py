"""What goes under the surfacer: etch or epoxy on bare metal, promoter on the plastics that need it."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from shopbook.trade.catalogue.kinds import Substrate
from shopbook.trade.planning.asked import NEEDS_PROMOTER
from shopbook.trade.planning.choosing import LAYS_BARE, Method
from shopbook.trade.planning.methods import DamageWork
from shopbook.trade.planning.mixes import Spot, Sprayed, spray
from shopbook.trade.planning.sheet import Sheet
from shopbook.trade.planning.work import PanelWork


@dataclass(slots=True)
class First:
    """The first primers of one stage: mixes, steps, waits within the stage, reasons."""

    sprayed: list[Sprayed] = field(default_factory=list)
    steps: list[str] = field(default_factory=list)
    inside: list[str] = field(default_factory=list)
    why: list[str] = field(default_factory=list)


def first_primer(sheet: Sheet, primed: Sequence[PanelWork]) -> First:
    """Etch, epoxy or promoter under the surfacer of these panels."""
    found = First(why=["primer levels the feathered edges, which would show through the {colour}"])
    _on_metal(sheet, [p for p in primed if p.substrate is not Substrate.PLASTIC and is_bare(p)], found)
    plastic = [panel for panel in primed if panel.substrate is Substrate.PLASTIC]
    _on_promoted(sheet, [panel for panel in plastic if panel.plastic in NEEDS_PROMOTER], found)
    if any(panel.plastic not in NEEDS_PROMOTER for panel in plastic):
        found.steps.append("no promoter on this plastic: scuff it, then {primer}")
        found.why.append("ABS, PC, PUR and fiberglass hold 2K primer by themselves")
    return found


def is_bare(panel: PanelWork) -> bool:
    """Whether metal lies bare on it when it is primed; shaping filler bares it again where epoxy was laid before."""
    return any(work.method in LAYS_BARE and (work.fill_mm > 0 or not is_epoxied(work)) for work in panel.primed)


def is_epoxied(work: DamageWork) -> bool:
    """Whether epoxy goes on the ground metal before the filler."""
    return work.method is Method.GRIND and work.damage.is_epoxy_first


def _on_metal(sheet: Sheet, metal: Sequence[PanelWork], found: First) -> None:
    if not metal:
        return
    code, reason = _metal_primer(metal)
    found.sprayed.append(spray(sheet.setting, code, [spot(sheet, panel, panel.bare_m2) for panel in metal]))
    found.steps.append(f"{code} on bare metal, one even coat, leave until dull")
    found.inside.append(f"{code}_flash")
    found.why.append(reason)


def _on_promoted(sheet: Sheet, plastic: Sequence[PanelWork], found: First) -> None:
    if not plastic:
        return
    found.sprayed.append(spray(sheet.setting, "promoter", [spot(sheet, panel, panel.feather_m2) for panel in plastic]))
    found.steps.append("paint promoter on raw plastic alone, a mist coat, {primer} within the hour")
    found.inside.append("promoter_flash")
    found.why.append("nothing sticks to raw plastic without adhesion promoter")


def _metal_primer(metal: Sequence[PanelWork]) -> tuple[str, str]:
    if any(panel.substrate is Substrate.ALUMINIUM for panel in metal):
        return "epoxy", "epoxy on bare {aluminium} within the hour, before an oxide skin grows"
    if all(is_epoxied(work) for panel in metal for work in panel.primed):
        return "epoxy", "epoxy again where shaping the filler has bared metal, before any primer goes over it"
    if any(work.fill_mm > 0 for panel in metal for work in panel.primed):
        return "epoxy", "epoxy on the bare metal, not acid etch, which must not touch polyester filler"
    return "etch", "etch on the bare metal, since there is no filler beside it"


def spot(sheet: Sheet, panel: PanelWork, area_m2: float) -> Spot:
    """A part of a panel, sprayed as a spot."""
    return Spot(panel.code, area_m2, sheet.setting.number("transfer_spot"))
