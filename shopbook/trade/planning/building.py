"""Builds one stage from its kind in the catalogue: minutes shared by panel, shop supplies, cautions."""

import math
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace

from shopbook.trade.catalogue.entries import Catalogue, StageKind
from shopbook.trade.catalogue.kinds import MeasuredBy, Substrate
from shopbook.trade.catalogue.stage_codes import StageCode
from shopbook.trade.cautions import Caution, in_order
from shopbook.trade.measures.amounts import share_out
from shopbook.trade.planning.methods import DamageWork
from shopbook.trade.planning.shapes import Car, DraftUse
from shopbook.trade.planning.work import DraftBasis, PanelWork

USUAL = "usual amount for each panel"
"""The reason beside a stage's usual materials."""

WHOLE_CAR = ""
"""The panel under which stands what belongs to no one panel."""


@dataclass(frozen=True, slots=True)
class Load:
    """What a stage works on at one panel: its damages, m² of what it is measured by, minutes of its own."""

    panel: str
    works: tuple[DamageWork, ...] = ()
    area_m2: float = 0.0
    own_minutes: int = 0
    factors: frozenset[str] = frozenset()
    grits: tuple[int, ...] | None = None
    """P grades on this panel where they are not the stage's."""


def stage_minutes(
    catalogue: Catalogue, kind: StageKind, loads: Sequence[Load], fixed_more: int = 0
) -> tuple[tuple[str, int], ...]:
    """Man-minutes by panel, exact: each panel's own, those after the dearest at their share, and the fixed spread over.

    Without a panel all of it stands under the whole car.
    """
    fixed = kind.fixed_minutes + fixed_more
    if not loads:
        return ((WHOLE_CAR, fixed),)
    own = [_own_minutes(catalogue, kind, load) for load in loads]
    dearest = own.index(max(own))
    counted = [
        minutes if place == dearest else _whole(minutes * kind.next_panel_permille / 1000)
        for place, minutes in enumerate(own)
    ]
    shares = share_out(fixed, counted)
    return tuple((load.panel, counted[place] + shares[place]) for place, load in enumerate(loads))


def floor_uses(catalogue: Catalogue, kind: StageKind, panels: Sequence[str]) -> tuple[DraftUse, ...]:
    """The stage's usual materials, so much for each panel."""
    places = tuple(panels) or (WHOLE_CAR,)
    return tuple(
        make_use(catalogue, role, [(place, amount) for place in places], USUAL)
        for role, amount in kind.uses.items()
        if role in catalogue.materials
    )


def make_use(
    catalogue: Catalogue, role: str, needs: Sequence[tuple[str, float]], reason: str, mix: str | None = None
) -> DraftUse:
    """A use from amounts by panel. Here, and only here, an estimate becomes whole thousandths; the shares sum to it."""
    material = catalogue.materials[role]
    # Each share is rounded and the whole is their sum: rounded apart, the panels would not add up to what is drawn.
    shares = tuple((panel, math.floor(amount * 1000 + 0.5)) for panel, amount in needs)
    total = sum(share for _, share in shares)
    return DraftUse(role, total, material.unit, material.way, mix, shares, reason)


def with_total(use: DraftUse, total_thousandths: int) -> DraftUse:
    """The same use with that total, as poured or in whole pieces; the first panel takes what sharing lost."""
    (first, share), *others = use.shares
    over = total_thousandths - use.amount_thousandths
    return replace(use, amount_thousandths=total_thousandths, shares=((first, share + over), *others))


def _is_any(panels: Sequence[PanelWork], substrate: Substrate) -> bool:
    return any(panel.substrate is substrate for panel in panels)


def _cautions_of_car(car: Car, kind: StageKind, carries: Collection[str]) -> Iterator[Caution]:
    is_touching = kind.code in TOUCHES
    if car.is_high_voltage and (is_touching or kind.wait in HEATED):
        yield Caution.HIGH_VOLTAGE
    if "airbag" in carries and is_touching:
        yield Caution.AIRBAGS
    if car.has_driver_aids and not AID_PLACES.isdisjoint(carries) and kind.code in TOUCHES | COVERS:
        yield Caution.DRIVER_AIDS


def stage_cautions(setting: DraftBasis, kind: StageKind, panels: Sequence[PanelWork]) -> tuple[str, ...]:
    """Codes of the stage's cautions, what the car and the panels add included, those that stop the work first."""
    carries = set().union(*(panel.panel.carries for panel in panels))
    found: set[str] = {*kind.cautions, *_cautions_of_car(setting.car, kind, carries)}
    if kind.code in GRINDS and _is_any(panels, Substrate.ALUMINIUM):
        found.add(Caution.ALLOY_DUST)
    return tuple(text.caution for text in in_order(found, catalogue=setting.catalogue))


GRINDS = frozenset({StageCode.PULL, StageCode.STRIP, StageCode.STRIP_OLD, StageCode.CUT_RUST})
"""Stages that grind or sand bare metal."""

TOUCHES = frozenset(
    {
        StageCode.TRIM_OFF,
        StageCode.PAINTLESS,
        StageCode.PULL,
        StageCode.CUT_RUST,
        StageCode.FIT_PART,
        StageCode.REFIT,
        StageCode.CALIBRATION,
    }
)
"""Stages that unplug, hammer or heat near what may fire or hold a charge."""

COVERS = frozenset({StageCode.PLASTIC_MEND, StageCode.FILL, StageCode.PRIME, StageCode.BASE_CLEAR})
"""Stages that lay something over what driver aids look through."""

HEATED = frozenset({"surfacer_dry", "surfacer_overnight", "clear_unmask"})
AID_PLACES = frozenset({"sensor", "camera"})
"""What a panel carries that driver aids see by."""


def _own_minutes(catalogue: Catalogue, kind: StageKind, load: Load) -> int:
    panel = kind.panel_minutes + load.own_minutes
    if kind.measured_by in {MeasuredBy.PRIMER, MeasuredBy.PANEL}:
        return _whole((panel + kind.minutes_per_m2 * load.area_m2) * _factor(catalogue, kind, load.factors))
    return panel + sum(_damage_minutes(catalogue, kind, work) for work in load.works)


def _damage_minutes(catalogue: Catalogue, kind: StageKind, work: DamageWork) -> int:
    area = {
        MeasuredBy.DAMAGE: work.areas.damage_m2,
        MeasuredBy.FEATHER: work.areas.feather_m2,
    }.get(kind.measured_by, 0.0)
    own = dict(work.own).get(kind.code)
    if own is not None:
        # Hours of its own hold the line and the depth already; only what the metal itself slows comes on top.
        return _whole(own * _factor(catalogue, kind, work.factors & {"alloy"}))
    return _whole((kind.damage_minutes + kind.minutes_per_m2 * area) * _factor(catalogue, kind, work.factors))


def _factor(catalogue: Catalogue, kind: StageKind, there: frozenset[str]) -> float:
    product = 1.0
    for code in kind.factors:
        if code in there:
            factor = catalogue.factors[code]
            product *= 1 + (factor.permille - 1000) * factor.of_permille / 1_000_000
    return product


def _whole(minutes: float) -> int:
    """The nearest minute, halves going up as on a stopwatch, since Python's own rounding sends 0.5 to zero."""
    return math.floor(minutes + 0.5)
