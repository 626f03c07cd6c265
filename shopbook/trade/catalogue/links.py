"""Checks that a catalogue is consistent: whatever one entry names by code exists, and lists have the right length."""

from collections.abc import Container, Iterable

from shopbook.trade.catalogue.entries import Catalogue, EntryKind
from shopbook.trade.catalogue.kinds import Unit
from shopbook.trade.errors import RuleBroken


def check_links(catalogue: Catalogue) -> None:
    """Raises RuleBroken, naming both sides, where an entry points at nothing or a list is of the wrong length."""
    _check_stages(catalogue)
    for panel in catalogue.panels.values():
        _check_named(panel.code, panel.neighbours, catalogue.panels, "panel")
    for wait in catalogue.waits.values():
        _check_named(wait.code, [wait.adds] if wait.adds else [], catalogue.stages, "stage")
    for material in catalogue.materials.values():
        if material.unit not in {Unit.ML, Unit.G, Unit.PIECE}:
            raise RuleBroken(f"{material.code} must be counted in ml, g or pieces.", "unit")
    _check_mixes(catalogue)
    _check_prices(catalogue)
    for gun in catalogue.guns.values():
        for name in ("tip_mm", "inlet_bar", "distance_cm", "overlap_percent"):
            low_high = getattr(gun, name)
            if len(low_high) != 2 or low_high[0] > low_high[1]:
                raise RuleBroken(f"{gun.code}: {name} must be a low and a high figure.", name)


def _check_stages(catalogue: Catalogue) -> None:
    for stage in catalogue.stages.values():
        _check_named(stage.code, stage.factors, catalogue.factors, "factor")
        waits = [stage.wait, *stage.waits_inside] if stage.wait else stage.waits_inside
        # A stage as the shop set it before a wait was retired names it still.
        retired = {code for kind, code in catalogue.retired if kind is EntryKind.WAIT}
        _check_named(stage.code, waits, catalogue.waits.keys() | retired, "wait")
        _check_named(stage.code, stage.uses, catalogue.materials, "material")
        _check_named(stage.code, stage.cautions, catalogue.cautions, "caution")


def _check_mixes(catalogue: Catalogue) -> None:
    for mix in catalogue.mixes.values():
        _check_named(mix.code, [*mix.parts, *mix.build_parts], catalogue.materials, "material")
        if not mix.parts or sum(mix.parts.values()) <= 0:
            raise RuleBroken(f"{mix.code}: enter at least one part above zero.", "parts")
        if mix.thumb_ml and (len(mix.thumb_ml) != 2 or mix.thumb_ml[0] > mix.thumb_ml[1]):
            raise RuleBroken(f"{mix.code}: thumb_ml must be a low and a high figure.", "thumb_ml")


def _check_prices(catalogue: Catalogue) -> None:
    for price in catalogue.prices.values():
        _check_named(price.code, [price.code], catalogue.panels, "panel")
        for name in ("small", "medium", "large", "days"):
            if len(getattr(price, name)) != 3 or min(getattr(price, name)) < 0:
                raise RuleBroken(f"{price.code}: {name} must be three figures, none below zero.", name)
    for dents in catalogue.small_dents.values():
        counts = [count for count, _ in dents.bands]
        if not counts or counts[0] < 1 or counts != sorted(set(counts)):
            raise RuleBroken(f"{dents.code}: the bands must rise, starting from one dent.", "bands")


def _check_named(code: str, names: Iterable[str], there: Container[str], what: str) -> None:
    for name in names:
        if name not in there:
            raise RuleBroken(f"{code} names the {what} {name!r}, which the catalogue does not have.", what)
